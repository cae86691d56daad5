import type { BroadcastRecord } from '../broadcast-record.js';

/** Coefficients of Klobuchar's ionosphere: s, s per semicircle and so on. */
export type FourCoefficients = readonly [number, number, number, number];

/** What stands in a navigation file. */
export interface NavigationFile {
  /** 2.11, 3.04, 4.00. */
  readonly version: number;
  /** As they stand in the file; Galileo: I/NAV, or F/NAV of a satellite without any. */
  readonly records: readonly BroadcastRecord[];
  readonly klobuchar: { readonly alpha: FourCoefficients; readonly beta: FourCoefficients } | null;
  /** GPS - UTC, s. */
  readonly leapSeconds: number | null;
  /** Records left out since no satellite can be on such an orbit. */
  readonly skipped: number;
}
