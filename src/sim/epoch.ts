import type { GpsTime, Utc } from '../base/time.js';
import type { SignalKind, SignalName } from './signal/signal-kind.js';
import type { SystemName } from './sky/system.js';

/** State of a receiver's channel for a satellite; `hidden`: no signal arrives. */
export type ChannelState = 'hidden' | 'searching' | 'tracking' | 'used';

/** What the receiver knows of a satellite's orbit. */
export type OrbitKnowledge = 'none' | 'almanac' | 'ephemeris';

/** How a receiver starts: `cold` knows nothing, `warm` time, almanac and place, `hot` the ephemeris too. */
export type StartKind = 'cold' | 'warm' | 'hot';

/** Where the antenna truly is. */
export interface Truth {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly heightEllipsoidM: number;
  readonly altitudeMslM: number;
  readonly speedMps: number;
  /** [0, 360) deg true; at rest, the course last held. */
  readonly courseDeg: number;
  /** Rate of the ellipsoidal height, m/s. */
  readonly climbMps: number;
}

/** What one satellite's ranges are made of at an epoch, m: each term as it truly is, zero where it is switched off. */
export interface RangeTerms {
  /** Satellite clock and orbit against what the satellite broadcasts, along the line of sight. */
  readonly satelliteClockM: number;
  readonly orbitM: number;
  /** Delay of the first signal in the ionosphere, and what the receiver takes off for it. */
  readonly ionosphereM: number;
  readonly ionosphereCorrectionM: number;
  /** Delay in the troposphere, and what the receiver takes off for it. */
  readonly troposphereM: number;
  readonly troposphereCorrectionM: number;
  /** Offset of the satellite's system in this receiver. */
  readonly interSystemM: number;
  /** Of the first signal that is tracked: reflections, and noise of the code loop. */
  readonly multipathM: number;
  readonly noiseM: number;
  /** What differential corrections take off for the satellite's clock and orbit. */
  readonly differentialCorrectionM: number;
}

/** One satellite as it truly is, above 0 deg, with the receiver's state for it. */
export interface SatelliteTruth {
  /** As RINEX names it: G05. */
  readonly id: string;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly state: ChannelState;
  readonly orbit: OrbitKnowledge;
  /** By signal, dB-Hz at the receiver; null when hidden. */
  readonly signals: Readonly<Partial<Record<SignalName, { readonly cn0DbHz: number | null }>>>;
  /** Null while the satellite is not tracked. */
  readonly range: RangeTerms | null;
}

/** One satellite as the receiver reports it; null is what it does not know. */
export interface SatelliteInView {
  readonly id: string;
  readonly azimuthDeg: number | null;
  readonly elevationDeg: number | null;
  /** Of the first signal that is tracked, dB-Hz; null when none is. */
  readonly cn0DbHz: number | null;
  /** Every signal that is tracked, the satellite's first one first. */
  readonly signals: readonly SignalInView[];
}

/** A signal that is tracked. */
export interface SignalInView {
  readonly kind: SignalKind;
  readonly cn0DbHz: number;
}

/** Mode indicator: N none, A autonomous, D differential, E estimated, S simulator. */
export type Mode = 'N' | 'A' | 'D' | 'E' | 'S';

/** One standard deviation of each, from the solution's own covariance, m. */
export interface PositionDeviation {
  /** Root mean square of the ranges' standard deviations. */
  readonly rangeRmsM: number;
  readonly majorM: number;
  readonly minorM: number;
  /** Of the ellipse's major axis, [0, 180) deg true. */
  readonly orientationDeg: number;
  readonly latitudeM: number;
  readonly longitudeM: number;
  /** Null with a held height. */
  readonly altitudeM: number | null;
}

/** The satellite that the solution's own check likes least. */
export interface SuspectSatellite {
  readonly id: string;
  /** Probability that its fault would have gone unseen, [0, 1]. */
  readonly missedProbability: number;
  /** Its estimated error, and that estimate's standard deviation, m. */
  readonly biasM: number;
  readonly deviationM: number;
}

/** A heading, of a module that has one. */
export interface Heading {
  /** [0, 360) deg true. */
  readonly headingDeg: number;
  /** Positive to starboard; null at the first epoch. */
  readonly rateDegPerMin: number | null;
}

/** What the receiver reports at an epoch: unrounded, null for what it does not report. */
export interface Report {
  readonly fix: 'none' | '2d' | '3d';
  /** GGA quality indicator: 0 none, 1 standard positioning service, 2 differential, 6 estimated, 8 simulator. */
  readonly quality: number;
  readonly mode: Mode;
  /** Mode of each system that the receiver tracks: N where none of its satellites is used. */
  readonly systemModes: Readonly<Partial<Record<SystemName, Mode>>>;
  /** A valid, V void. */
  readonly status: 'A' | 'V';
  /** What the module claims: the calendar date in it counts only with `dateKnown`; null without `timeKnown`. */
  readonly utc: Utc | null;
  /** Length of the present minute as the module knows it, s: 61 where a leap second ends it. */
  readonly utcMinuteS: 60 | 61;
  readonly timeKnown: boolean;
  readonly dateKnown: boolean;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  /** Magnetic variation, east positive, deg; null where the model does not hold or no place is known. */
  readonly variationDeg: number | null;
  readonly heading: Heading | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** Satellites in the solution, not capped, by system and number. */
  readonly used: readonly string[];
  /** Residual of each of {@link used}, m, after the solution. */
  readonly residualsM: readonly number[];
  readonly deviation: PositionDeviation | null;
  readonly suspect: SuspectSatellite | null;
  /** Age of differential corrections, s, and the number of who sent them (SBAS: its PRN); null without. */
  readonly differential: { readonly ageS: number; readonly station: number } | null;
  /** What GSV lists, in its order. */
  readonly inView: readonly SatelliteInView[];
}

/** Raw measurements of one signal at an epoch. */
export interface Observation {
  readonly id: string;
  readonly kind: SignalKind;
  /** GLONASS: frequency number, -7 to 6; else 0. */
  readonly frequencyNumber: number;
  readonly pseudorangeM: number;
  readonly carrierCycles: number;
  /** Positive while the satellite approaches. */
  readonly dopplerHz: number;
  readonly cn0DbHz: number;
  /** The signal was found anew since the last epoch: the carrier's count begins anew. */
  readonly isFresh: boolean;
}

/** The receiver's own clock at an epoch. */
export interface ReceiverClockTruth {
  /** Receiver's reading minus GPS time, s. */
  readonly biasS: number;
  readonly driftSps: number;
}

/** One navigation epoch: the receiver's view with the truth beside it. */
export interface Epoch {
  readonly index: number;
  /** Since the start, ms. */
  readonly atMs: number;
  readonly gpsTime: GpsTime;
  readonly utc: Utc;
  readonly truth: Truth;
  readonly report: Report;
  readonly receiverClock: ReceiverClockTruth;
  /** Empty where nobody looks. */
  readonly satellites: readonly SatelliteTruth[];
  /** Raw measurements; empty where nobody asks for them. */
  readonly observations: readonly Observation[];
}
