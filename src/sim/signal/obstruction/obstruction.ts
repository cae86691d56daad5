import type { SatelliteView } from '../../sky/sky.js';
import type { Decorrelation } from '../correlation.js';

/** What surroundings do to the signals of one satellite; filled in place. */
export interface Passage {
  /** 0 or more; Infinity: nothing arrives. */
  lossDb: number;
  /** How much larger reflections are than in a clean place, 1 or more. */
  multipathScale: number;
  /** Way beyond the straight one, where only a reflection arrives, m. */
  detourM: number;
}

/** Motion of the antenna, as surroundings need it. */
export interface AntennaMotion {
  readonly courseDeg: number;
  readonly speedMps: number;
}

/** One kind of surroundings. */
export interface Obstruction {
  /** Of the fading that surroundings cause as the antenna moves among their waves; null: none, {@link pass} gets 0. */
  readonly fading: Decorrelation | null;
  /** Once an epoch, before its satellites. */
  begin(motion: AntennaMotion): void;
  /**
   * One satellite above the horizon.
   * @param fade standard normal, changing as {@link fading} says
   * @param out written in whole
   */
  pass(view: SatelliteView, fade: number, out: Passage): void;
}
