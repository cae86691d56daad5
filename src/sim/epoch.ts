import type { GpsTime, Utc } from '../base/time.js';

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

/** One satellite as it truly is, above 0 deg, with the receiver's state for it. */
export interface SatelliteTruth {
  /** As RINEX names it: G05. */
  readonly id: string;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly state: ChannelState;
  readonly orbit: OrbitKnowledge;
  /** dB-Hz at the receiver; null when hidden. */
  readonly signals: { readonly L1: { readonly cn0DbHz: number | null } };
}

/** One satellite as the receiver reports it; null is what it does not know. */
export interface SatelliteInView {
  readonly id: string;
  readonly azimuthDeg: number | null;
  readonly elevationDeg: number | null;
  /** dB-Hz; null when not tracked. */
  readonly cn0DbHz: number | null;
}

/** What the receiver reports at an epoch: unrounded, null for what it does not report. */
export interface Report {
  readonly fix: 'none' | '2d' | '3d';
  /** GGA quality indicator: 0 none, 1 standard positioning service, 6 estimated, 8 simulator. */
  readonly quality: number;
  /** Mode indicator: N none, A autonomous, S simulator. */
  readonly mode: 'N' | 'A' | 'S';
  /** A valid, V void. */
  readonly status: 'A' | 'V';
  /** What the module claims: the calendar date in it counts only with `dateKnown`; null without `timeKnown`. */
  readonly utc: Utc | null;
  readonly timeKnown: boolean;
  readonly dateKnown: boolean;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** Satellites in the solution, not capped, in ascending order. */
  readonly used: readonly string[];
  /** What GSV lists, in its order. */
  readonly inView: readonly SatelliteInView[];
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
  readonly satellites: readonly SatelliteTruth[];
}
