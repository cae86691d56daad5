import type { SatelliteView } from '../sky/sky.js';

/** One satellite's signal at the receiver's input. A fault may take it away or weaken it. */
export interface ArrivingSignal {
  /** As RINEX names it: G05. */
  readonly id: string;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly view: SatelliteView;
  /** Carrier to noise density ratio, dB-Hz; -Infinity where nothing arrives. */
  cn0DbHz: number;
}
