import type { OrbitState } from '../sky/orbit.js';

/** One satellite's measurements, as the solution uses them; the receiver fills the same objects at every epoch. */
export interface Measurement {
  /** Where the satellite was, by the receiver's own knowledge, in the frame of the reception. */
  state: OrbitState;
  /** Which clock column it belongs to, from 0: one a system that is used. */
  column: number;
  /** Corrected for the satellite's clock, atmosphere and group delay. */
  pseudorangeM: number;
  rangeRateMps: number;
  /** Standard deviation of the pseudorange, m. */
  sigmaM: number;
  /** Standard deviation of the range rate, m/s. */
  rangeRateSigmaMps: number;
}
