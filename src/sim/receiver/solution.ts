import type { Ecef, Geodetic } from '../../base/frames.js';

/** Covariance of a position in east, north, up, m2; null in those of the height with a held height. */
export interface EnuCovariance {
  readonly eastM2: number;
  readonly northM2: number;
  readonly eastNorthM2: number;
  readonly upM2: number | null;
  readonly eastUpM2: number | null;
  readonly northUpM2: number | null;
}

/** Position, velocity and dilution of precision. */
export interface Solution {
  readonly position: Ecef;
  readonly geodetic: Geodetic;
  /** Of the first column. */
  readonly clockBiasM: number;
  /** The receiver's clock against each system's, by column. */
  readonly clockBiasesM: readonly number[];
  readonly eastMps: number;
  readonly northMps: number;
  /** Zero with a held height. */
  readonly upMps: number;
  /** The same velocity in ECEF. */
  readonly velocity: { readonly xMps: number; readonly yMps: number; readonly zMps: number };
  /** Of the receiver's clock: one for all systems, which share its oscillator. */
  readonly clockDriftMps: number;
  /** Unweighted, with a clock column a system. */
  readonly hdop: number;
  /** Null with a held height. */
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** From the weights. */
  readonly covariance: EnuCovariance;
  /** Roots of the covariance's diagonal, m; `upM` null with a held height. */
  readonly sigma: { readonly eastM: number; readonly northM: number; readonly upM: number | null };
  /** Root mean square of the standard deviations of the ranges that went in, m. */
  readonly rangeRmsM: number;
  /** Measurements less unknowns. */
  readonly redundancy: number;
  /** Sum of squared residuals, each over its standard deviation: chi-square with {@link redundancy} degrees. */
  readonly chiSquare: number;
}
