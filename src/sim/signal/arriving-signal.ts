import type { SatelliteView } from '../sky/sky.js';
import type { SignalKind } from './signal-kind.js';

/**
 * One signal of a satellite at the receiver's input. A satellite's signals stand together, its first one first. A fault
 * may take a signal away, weaken it, or put a false one in its place.
 */
export interface ArrivingSignal {
  /** The satellite's, as RINEX names it: G05. */
  readonly id: string;
  readonly kind: SignalKind;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly view: SatelliteView;
  /** Carrier to noise density ratio, dB-Hz; -Infinity where nothing arrives. */
  cn0DbHz: number;
  /** How much larger reflections are than in a clean place, 1 or more. */
  multipathScale: number;
  /** Way that the signal takes beyond the straight one, by reflection where the straight way is blocked, m. */
  detourM: number;
  /** Of a false signal: how much farther away its satellite seems to be, m, and how fast that grows, m/s. */
  falseRangeM: number;
  falseRangeRateMps: number;
}
