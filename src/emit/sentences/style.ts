/** The kinds of sentence that a module can send. */
export const SENTENCE_NAMES = [
  'GGA',
  'GLL',
  'GSA',
  'GSV',
  'RMC',
  'VTG',
  'ZDA',
  'GNS',
  'GST',
  'GBS',
  'GRS',
  'DTM',
  'VBW',
  'THS',
  'HDT',
  'ROT',
] as const;
export type SentenceName = (typeof SENTENCE_NAMES)[number];

/**
 * Versions of the sentence standard, ascending. 2.3 brought the mode indicators, 4.10 navigational status, system ids
 * and signal ids.
 */
export const SENTENCE_VERSIONS = ['2.1', '2.3', '3.01', '4.00', '4.10', '4.11'] as const;
export type SentenceVersion = (typeof SENTENCE_VERSIONS)[number];

/** True where `version` is `other` or a later one. */
export function isFrom(version: SentenceVersion, other: SentenceVersion): boolean {
  return SENTENCE_VERSIONS.indexOf(version) >= SENTENCE_VERSIONS.indexOf(other);
}

/** The version from which on a sentence is there, where it is not in the earliest (from memory). */
const SINCE: Readonly<Partial<Record<SentenceName, SentenceVersion>>> = {
  GNS: '2.3',
  GST: '2.3',
  GBS: '2.3',
  GRS: '2.3',
  THS: '3.01',
};

/** The sentences that a version has. A later one refuses none: HDT stays beside THS, which was meant to replace it. */
export function sentencesOf(version: SentenceVersion): readonly SentenceName[] {
  return SENTENCE_NAMES.filter((name) => isFrom(version, SINCE[name] ?? '2.1'));
}

/** Talkers that go by the systems, beside any two letters that are fixed. */
export const TALKER_RULES = ['auto', 'used'] as const;
/** Talkers of GSA. */
export const GSA_TALKERS = ['common', 'system'] as const;
/** Under whom QZSS satellites are listed. */
export const QZSS_TALKERS = ['GQ', 'PQ', 'QZ', 'GP'] as const;
/** Under whom BeiDou satellites are listed; BD is the older one. */
export const BEIDOU_TALKERS = ['GB', 'BD'] as const;

/** Where each system's satellite numbers begin in sentences; `local`: at 1, as in the system itself. */
export const GLONASS_IDS = ['65+', 'local'] as const;
export const GALILEO_IDS = ['local', '301+'] as const;
export const BEIDOU_IDS = ['local', '201+'] as const;
export const QZSS_IDS = ['193+', 'local'] as const;
export const SBAS_IDS = ['33+', '120+'] as const;

/** How GSA and GRS divide the satellites used. */
export const GSA_DIVISIONS = ['per-system', 'combined'] as const;
/** How GSV numbers its sentences where a system has several signals. */
export const GSV_SEQUENCES = ['per-signal', 'running'] as const;
/** How signal ids are written. */
export const SIGNAL_ID_BASES = ['hexadecimal', 'decimal'] as const;

/** As what BeiDou's signal in the L2 band is listed. */
export const BEIDOU_L2_SIGNALS = ['B3I', 'B2I'] as const;
/** What comes of GSV for a system without a satellite in view. */
export const GSV_WHEN_NONE = ['count-00', 'nothing'] as const;
/** What VTG says at rest. */
export const VTG_AT_REST = ['speed', 'blank'] as const;
/** ZDA's zone where nothing is set: that of UTC. */
export const UTC_ZONE = '00,00';

/** How a module writes its sentences. Every setting is independent of the others, but for {@link styleConflict}. */
export interface SentenceStyle {
  readonly version: SentenceVersion;
  /**
   * `auto`: by the systems that the receiver has, GP GL GA GB GQ GI, or GN for several; SBAS and QZSS count as GPS
   * where that is there. `used`: likewise by the systems used in the solution at the epoch. Else two letters, always
   * these.
   */
  readonly talker: string;
  /** `common`: as {@link talker} says; `system`: each GSA under its own system's (only with `per-system`). */
  readonly gsaTalker: (typeof GSA_TALKERS)[number];
  /** GP: among those of GPS. */
  readonly qzssTalker: (typeof QZSS_TALKERS)[number];
  readonly beidouTalker: (typeof BEIDOU_TALKERS)[number];
  readonly glonassIds: (typeof GLONASS_IDS)[number];
  readonly galileoIds: (typeof GALILEO_IDS)[number];
  readonly beidouIds: (typeof BEIDOU_IDS)[number];
  /** From 193: the satellite's PRN. */
  readonly qzssIds: (typeof QZSS_IDS)[number];
  /** From 33: PRN - 87, to 64, which is PRN 151; those beyond, and all from 120: the PRN. */
  readonly sbasIds: (typeof SBAS_IDS)[number];
  /** `combined`: all systems in one GSA (or several, of twelve each), which from 4.10 has no system id then. */
  readonly gsa: (typeof GSA_DIVISIONS)[number];
  /**
   * From 4.10. `per-signal`: each signal of a system is a sequence of its own; `running`: the sequence goes on from one
   * signal to the next. Before 4.10 a satellite is listed once, with its first signal.
   */
  readonly gsvSequence: (typeof GSV_SEQUENCES)[number];
  /** Whether the last GSV is filled up with blank fields, to as many satellites as the others have. */
  readonly padGsv: boolean;
  /** Of a system that the receiver has. `count-00`: one GSV that says so. */
  readonly gsvWhenNone: (typeof GSV_WHEN_NONE)[number];
  readonly signalIds: (typeof SIGNAL_ID_BASES)[number];
  /** B3I: by its own id, 8; B2I: by the id B of the signal that the satellites before these sent in that band. */
  readonly beidouL2: (typeof BEIDOU_L2_SIGNALS)[number];
  /** What stands for the C/N0 of a satellite that is not tracked: '' or '00'. */
  readonly untrackedCn0: string;
  /** 0 or 1. */
  readonly cn0Decimals: number;
  /** GGA and GNS count no more than twelve satellites used. */
  readonly capUsed: boolean;
  /**
   * Whether sentences may exceed 82 characters; where not, GSV and GSA take fewer satellites, GRS fewer digits, and
   * with extreme values GGA and GNS fewer decimals of heights, RMC of the variation.
   */
  readonly longLines: boolean;
  /** Whether the module knows the magnetic variation: RMC's, and VTG's magnetic course; else blank. */
  readonly magneticVariation: boolean;
  /** `blank`: where there is no course, at rest, VTG tells no speed either. */
  readonly vtgAtRest: (typeof VTG_AT_REST)[number];
  /** ZDA's two fields of the local zone as written, `00,00`; its date and time are UTC in any case. */
  readonly zdaZone: string;
  /** False: degrees and minutes are one plain number, `1131.00` for a longitude of 11 deg 31 min. */
  readonly leadingZeros: boolean;
  /** False: minutes of angle, and seconds, are rounded up to 60 without carry, as by faulty firmware. */
  readonly carry: boolean;
  /** 0 to 8. */
  readonly minuteDecimals: number;
  /** 0 to 3. */
  readonly secondDecimals: number;
  /** Of the height, the geoid separation, GST's and GBS's metres. */
  readonly altitudeDecimals: number;
  readonly speedDecimals: number;
  /** Of courses and headings. */
  readonly courseDecimals: number;
  readonly dopDecimals: number;
  /** What stands for a dilution of precision that is not known: '99.99' or ''. */
  readonly unknownDop: string;
}

/** The style of a module that sets nothing. */
export const DEFAULT_STYLE: SentenceStyle = {
  version: '4.11',
  talker: 'auto',
  gsaTalker: 'common',
  qzssTalker: 'GQ',
  beidouTalker: 'GB',
  glonassIds: '65+',
  galileoIds: 'local',
  beidouIds: 'local',
  qzssIds: 'local',
  sbasIds: '33+',
  gsa: 'per-system',
  gsvSequence: 'per-signal',
  padGsv: false,
  gsvWhenNone: 'count-00',
  signalIds: 'hexadecimal',
  beidouL2: 'B3I',
  untrackedCn0: '',
  cn0Decimals: 0,
  capUsed: false,
  longLines: false,
  magneticVariation: true,
  vtgAtRest: 'speed',
  zdaZone: UTC_ZONE,
  leadingZeros: true,
  carry: true,
  minuteDecimals: 4,
  secondDecimals: 2,
  altitudeDecimals: 1,
  speedDecimals: 1,
  courseDecimals: 1,
  dopDecimals: 1,
  unknownDop: '99.99',
};

/** Two settings that contradict each other: `setting` is the one to change, to what `expected` says; null: none. */
export function styleConflict(style: SentenceStyle): { setting: keyof SentenceStyle; expected: string } | null {
  if (style.qzssTalker === 'GP' && style.qzssIds === 'local') {
    return {
      setting: 'qzssIds',
      expected: '193+ where QZSS is listed among GPS, whose numbers local ones would repeat',
    };
  }
  return null;
}
