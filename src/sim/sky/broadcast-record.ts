import type { GpsTime } from '../../base/time.js';
import type { SystemName } from './system.js';

/** Satellite clock as broadcast: bias, drift and its rate at the time of clock `toc`. */
export interface ClockTerms {
  readonly af0S: number;
  readonly af1: number;
  readonly af2PerS: number;
}

/** What every broadcast record has. */
interface AnyRecord {
  /** As RINEX names the satellite: G05. */
  readonly id: string;
  readonly system: SystemName;
  /** True where the record says that the satellite may be used. */
  readonly isHealthy: boolean;
  /** When the record was sent, GPS time. */
  readonly sentAt: GpsTime;
}

/**
 * Keplerian elements with corrections, as GPS, Galileo, BeiDou, QZSS and NavIC broadcast them; all times in GPS time,
 * angles in rad. An almanac and a reference constellation are such records with the corrections zero.
 * Source: IS-GPS-200N, table 20-III; the others' control documents use the same set.
 */
export interface KeplerRecord extends AnyRecord {
  readonly kind: 'kepler';
  readonly toc: GpsTime;
  readonly clock: ClockTerms;
  readonly toe: GpsTime;
  readonly rootSemiMajor: number;
  readonly eccentricity: number;
  readonly inclinationRad: number;
  readonly inclinationRateRadps: number;
  /** Longitude of the ascending node at the week's beginning, as broadcast: of the system's own week. */
  readonly nodeRad: number;
  readonly nodeRateRadps: number;
  readonly perigeeRad: number;
  readonly meanAnomalyRad: number;
  /** Departure of the mean motion from the two-body one, rad/s. */
  readonly meanMotionDeltaRadps: number;
  readonly cucRad: number;
  readonly cusRad: number;
  readonly cicRad: number;
  readonly cisRad: number;
  readonly crcM: number;
  readonly crsM: number;
  /** Issue of data of the ephemeris and of the clock (BeiDou: age of data). */
  readonly iode: number;
  readonly iodc: number;
  /** As the system gives it: user range accuracy, SISA, m. */
  readonly accuracyM: number;
  readonly healthBits: number;
  /** Galileo: data sources of RINEX; else 0. */
  readonly dataSource: number;
  /** Fit interval, h; 0: the system's default. */
  readonly fitHours: number;
  /** Group delays, s. GPS, QZSS, NavIC: TGD; Galileo: BGD E5a/E1 and E5b/E1; BeiDou: TGD1 (B1/B3), TGD2 (B2/B3). */
  readonly groupDelaysS: readonly [number, number];
}

/** Position, velocity and acceleration in the Earth-fixed frame, as GLONASS (PZ-90.11) and SBAS broadcast them. */
export interface StateRecord extends AnyRecord {
  readonly kind: 'state';
  /** The state's reference time, GPS time. */
  readonly toe: GpsTime;
  readonly positionM: readonly [number, number, number];
  readonly velocityMps: readonly [number, number, number];
  readonly accelerationMps2: readonly [number, number, number];
  /** Satellite clock minus system time at `toe`, s: -tau of GLONASS, aGf0 of SBAS. */
  readonly clockBiasS: number;
  /** Relative frequency offset: gamma of GLONASS, aGf1 of SBAS. */
  readonly clockDrift: number;
  /** GLONASS: frequency number, -7 to 6; else 0. */
  readonly frequencyNumber: number;
  readonly healthBits: number;
  /** GLONASS: age of the data, days; SBAS: issue of data. */
  readonly age: number;
  /** SBAS: user range accuracy, m; else 0. */
  readonly accuracyM: number;
}

export type BroadcastRecord = KeplerRecord | StateRecord;
