import type { AgreementPart, MotionPart } from './consistency-report.js';

/** What an item has come to; `untested`: the stream does not tell. */
export type Verdict = 'good' | 'remark' | 'bad' | 'untested';

/** One thing that was looked at, with the reason for its verdict. */
export interface Item {
  /** Stable, dotted: `checksums`, `antenna.gps`. */
  readonly key: string;
  readonly title: string;
  readonly verdict: Verdict;
  /** Figures with their units, one or two sentences. */
  readonly reason: string;
}

/** A place in the stream. */
export interface Occurrence {
  /** From 1. */
  readonly line: number;
  /** UTC of the epoch around it as the stream tells it, `2026-03-01T12:00:20Z` or `12:00:20`; null: not known. */
  readonly at: string | null;
  /** What stands there, cut to 120 characters; not printable ones as `\xhh`. */
  readonly text: string;
}

/** Where the stream came from and how much of it there was. */
export interface StreamFacts {
  readonly name: string;
  readonly kind: 'file' | 'standard-input' | 'port';
  /** Line speed where it is known: of a port, or told on the command line. */
  readonly baud: number | null;
  /** The speed was found by trying. */
  readonly isBaudFound: boolean;
  readonly bytes: number;
  readonly lines: number;
  /** Bytes in nothing that begins as a sentence, line ends aside; of them those that are no text. */
  readonly noiseBytes: number;
  readonly binaryBytes: number;
  readonly epochs: number;
  /** Whether each piece came with the time of its arrival. */
  readonly hasArrivalTimes: boolean;
  /** By the time stamps, or by arrival where there are none; s. */
  readonly durationS: number | null;
  readonly firstUtc: string | null;
  readonly lastUtc: string | null;
  /** The last sentence has no end. */
  readonly isCutOff: boolean;
  /** Why a live port went before the listening ended, a clause; null: it did not. */
  readonly gone: string | null;
}

/** One kind of sentence. */
export interface SentenceCount {
  /** `GNRMC`. */
  readonly address: string;
  /** With any checksum. */
  readonly count: number;
  readonly badChecksums: number;
  readonly bytes: number;
  /** Mean of sentences an epoch. */
  readonly perEpoch: number | null;
  /** Epochs between those epochs that have one, the median; 1: in every epoch. */
  readonly everyEpochs: number | null;
}

/** One thing that the sentence standard rules out, and how often it was met. */
export interface ViolationCount {
  /** A code of src/grammar/violation.ts. */
  readonly code: string;
  readonly title: string;
  /** `damage`: not what was sent; `breach`: against the standard; `variant`: so do modules in use. */
  readonly weight: 'damage' | 'breach' | 'variant';
  readonly count: number;
  /** By address: `GPRMC`. */
  readonly addresses: readonly string[];
  /** The first ones; `what` is wrong, a clause. */
  readonly examples: readonly (Occurrence & { readonly what: string })[];
}

export interface SentencesPart {
  readonly counts: readonly SentenceCount[];
  readonly talkers: readonly string[];
  /** `4.10`, `2.3`; null: no sentence tells. */
  readonly version: string | null;
  readonly versionEvidence: readonly string[];
  readonly checksums: {
    readonly good: number;
    readonly bad: number;
    readonly absent: number;
    readonly malformed: number;
    /** The first of those that are bad or malformed. */
    readonly examples: readonly Occurrence[];
  };
  /** Of the grammar, checksums aside; most frequent first. */
  readonly violations: readonly ViolationCount[];
}

/** A bar of a histogram: `from` inclusive, `to` exclusive but of the last. */
export interface Bar {
  readonly from: number;
  readonly to: number;
  readonly count: number;
}

export interface TimingPart {
  /** Time between epochs, s: the median; where stamps are too coarse to tell one or wander, the mean, gaps left out. */
  readonly intervalS: number | null;
  /** Of the time between epochs, by the stamps or by arrival: `source` says which. */
  readonly source: 'stamps' | 'arrival' | null;
  /** Root mean square of the intervals' differences from `intervalS`, gaps left out, ms. */
  readonly jitterMs: number | null;
  /** Intervals, ms. */
  readonly histogram: readonly Bar[];
  /** With the silence at the end. */
  readonly gapCount: number;
  readonly longestGapS: number | null;
  readonly gaps: readonly (Occurrence & { readonly lastsS: number })[];
  /** From the last epoch's last byte to the end of the listening to a live port, where that is a gap, s. */
  readonly silentEndS: number | null;
  /** The stamps stood still: over so many epochs, and where that began, the longest; null: they did not. */
  readonly stuck: { readonly epochs: number; readonly from: Occurrence } | null;
  /** Bytes a second of the line: mean, and of the fullest second. */
  readonly bytesPerS: number | null;
  readonly fullestBytesPerS: number | null;
  /** Of the line's speed, 0 to 1; null: the speed is not known. */
  readonly load: number | null;
  readonly fullestLoad: number | null;
  /** Time from an epoch's stamp to the arrival of its first byte, ms, by the machine's clock; a live port's. */
  readonly delayMs: { readonly median: number; readonly p95: number } | null;
}

export interface FixPart {
  readonly epochs: number;
  readonly validEpochs: number;
  /** 0 to 1. */
  readonly validShare: number | null;
  /** From the first byte's epoch to the first valid one, s. */
  readonly firstFixS: number | null;
  readonly firstFixAt: Occurrence | null;
  readonly losses: number;
  readonly longestLossS: number | null;
  readonly qualities: Readonly<Record<string, number>>;
  readonly types: Readonly<Record<string, number>>;
}

/** Least, median and greatest. */
export interface Spread {
  readonly least: number;
  readonly median: number;
  readonly greatest: number;
}

/** A satellite of the last sky. */
export interface SkySatellite {
  /** `gps`, `glonass`, …; `other`. */
  readonly system: string;
  readonly talker: string;
  /** As it stands in the sentences. */
  readonly id: string;
  readonly elevationDeg: number | null;
  readonly azimuthDeg: number | null;
  /** The strongest of its signals. */
  readonly cn0DbHz: number | null;
  readonly isUsed: boolean;
}

export interface SatellitesPart {
  readonly used: Spread | null;
  readonly inView: Spread | null;
  readonly hdop: Spread | null;
  readonly systems: readonly {
    readonly system: string;
    readonly talkers: readonly string[];
    /** Different satellites listed, and of them with a C/N0. */
    readonly listed: number;
    readonly heard: number;
    readonly used: number;
  }[];
  readonly lastSky: { readonly at: string | null; readonly satellites: readonly SkySatellite[] } | null;
}

/** C/N0 of one band of elevation. */
export interface ElevationBin {
  readonly fromDeg: number;
  readonly toDeg: number;
  readonly count: number;
  readonly medianDbHz: number;
  readonly p10DbHz: number;
  readonly p90DbHz: number;
  /** In the middle of the bin; null: no curve is known for the signal. */
  readonly expectedDbHz: number | null;
}

/** C/N0 of one signal of one system. */
export interface AntennaSignal {
  readonly system: string;
  /** As it stands in GSV; null: none is told. */
  readonly signal: string | null;
  readonly count: number;
  readonly bins: readonly ElevationBin[];
  /** Of C/N0 minus the expected, above 10 deg, dB; null: no curve is known for the signal, or there is nothing. */
  readonly medianDeviationDb: number | null;
  readonly verdict: Verdict;
}

export interface AntennaPart {
  readonly signals: readonly AntennaSignal[];
  /** The curve that is expected of a good antenna with GPS L1 C/A: elevation, dB-Hz. */
  readonly expected: readonly { readonly elevationDeg: number; readonly cn0DbHz: number }[];
  /** dB below it that the verdicts change at. */
  readonly weakBelowDb: number;
  readonly badBelowDb: number;
  /** Share of listed satellites, above 10 deg, without C/N0. */
  readonly blankShare: number | null;
  /** Median C/N0 over time, thinned: all satellites above 10 deg. */
  readonly overTime: readonly { readonly tS: number; readonly medianDbHz: number | null; readonly heard: number }[];
  readonly course: SignalCourse;
}

/** How the signals went on in time. */
export interface SignalCourse {
  /** The longest time that satellites were listed and none was heard, after some had been; null: there is none. */
  readonly silence: {
    readonly from: Occurrence;
    readonly lastsS: number;
    /** Nothing was heard any more until the end. */
    readonly isToTheEnd: boolean;
    /** Share of those epochs with a valid fix, 0 to 1. */
    readonly fixShare: number;
  } | null;
  /**
   * The time that parts the stream best in strong and weak: C/N0 against the curve before and after it, median, dB;
   * null: too short to tell.
   */
  readonly fall: { readonly from: Occurrence; readonly beforeDb: number; readonly afterDb: number } | null;
}

/** A point of the position over time, thinned; east, north, up of the reference or the mean. */
export interface PositionPoint {
  /** Since the first epoch. */
  readonly tS: number;
  readonly eastM: number;
  readonly northM: number;
  readonly upM: number | null;
}

export interface PositionPart {
  /** What the figures are about; `none`: the antenna moved, so that there are none. */
  readonly about: 'reference' | 'mean' | 'none';
  /** What `points` are counted from: the reference that was given, the mean, or the first position; null: nothing. */
  readonly zero: 'reference' | 'mean' | 'first' | null;
  /** Where that is. */
  readonly reference: {
    readonly latitudeDeg: number;
    readonly longitudeDeg: number;
    readonly altitudeMslM: number | null;
  } | null;
  readonly isMoving: boolean | null;
  readonly count: number;
  /** The mean's offset from the reference. */
  readonly offset: { readonly eastM: number; readonly northM: number; readonly upM: number | null } | null;
  /** About the mean: radius that holds 50 % and 95 %, distance r.m.s., and twice that. */
  readonly scatter: {
    readonly cepM: number;
    readonly r95M: number;
    readonly drmsM: number;
    readonly twoDrmsM: number;
    /** Of the height: standard deviation, and what 95 % lie within. */
    readonly heightDeviationM: number | null;
    readonly heightP95M: number | null;
  } | null;
  /** About the reference, horizontal error: 50 %, 95 % and largest; 95 % of the height's. */
  readonly error: {
    readonly medianM: number;
    readonly p95M: number;
    readonly largestM: number;
    readonly heightP95M: number | null;
  } | null;
  readonly drift: { readonly eastMps: number; readonly northMps: number } | null;
  /** Where the antenna moved: how far it went, and how fast. */
  readonly distanceM: number | null;
  readonly largestSpeedMps: number | null;
  readonly points: readonly PositionPoint[];
  /** The stream's separation minus EGM96's, median, m. */
  readonly geoidDeviationM: number | null;
}

export interface TimePart {
  readonly firstDate: string | null;
  readonly lastDate: string | null;
  /** How often the date turned with midnight. */
  readonly midnights: number;
  /** How often the date was not the one that the date before and the time of day lead to; the first ones. */
  readonly dateStepCount: number;
  readonly dateSteps: readonly (Occurrence & {
    /** `2026-03-01`; the same where it stays though midnight has passed. */
    readonly from: string;
    readonly to: string;
    /** By so many days it is ahead of what was to be expected; negative: behind. */
    readonly offDays: number;
    /** They are so many weeks, a multiple of 1024, give or take a day: a week rollover, or its end. */
    readonly rolloverWeeks: number | null;
  })[];
  /** Epochs whose sentences tell different times of day. */
  readonly mixedEpochs: number;
  readonly stepsBack: number;
  readonly duplicates: number;
  readonly leapSeconds: number;
  /** Decimals of the seconds that were met: `0`, `2`. */
  readonly secondDecimals: readonly string[];
  /** Stamp minus the machine's clock at arrival, s, median; a live port's. */
  readonly clockOffsetS: number | null;
}

/** Something of the list of field failures that was seen. */
export interface Oddity {
  /** Its id in that list: `gn-talker`. */
  readonly id: string;
  readonly severity: 'remark' | 'bad';
  /** What the host sees, from the catalogue. */
  readonly sees: string;
  /** What that has done to host software, from the catalogue. */
  readonly harm: string;
  readonly count: number;
  readonly examples: readonly Occurrence[];
}

/** What an inspection found: what `--json` writes, and what text and page are made of. */
export interface InspectReport {
  readonly lodestubInspect: 1;
  /** Of Lodestub. */
  readonly version: string;
  readonly caution: string;
  readonly stream: StreamFacts;
  /** The worst of the items': `bad`, else `remark`, else `good`. */
  readonly verdict: Verdict;
  readonly items: readonly Item[];
  readonly sentences: SentencesPart;
  readonly timing: TimingPart;
  readonly fix: FixPart;
  readonly satellites: SatellitesPart;
  readonly antenna: AntennaPart;
  readonly position: PositionPart;
  readonly motion: MotionPart;
  readonly agreement: AgreementPart;
  readonly time: TimePart;
  readonly oddities: readonly Oddity[];
}
