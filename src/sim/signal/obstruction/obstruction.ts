import type { SatelliteView } from '../../sky/sky.js';

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

/** Fading that surroundings cause as the antenna moves among their waves. */
export interface ObstructionFading {
  /** Correlation time at rest, s, and the way after which fading is another, m. */
  readonly restS: number;
  readonly wayM: number;
}

/** One kind of surroundings. */
export interface Obstruction {
  /** Null: none, and {@link pass} gets 0. */
  readonly fading: ObstructionFading | null;
  /** Once an epoch, before its satellites. */
  begin(motion: AntennaMotion): void;
  /**
   * One satellite above the horizon.
   * @param fade standard normal, changing as {@link fading} says
   * @param out written in whole
   */
  pass(view: SatelliteView, fade: number, out: Passage): void;
}

/** Correlation time of something that changes with time at rest and with the way while moving, s. */
export function correlationS({ restS, wayM }: ObstructionFading, speedMps: number): number {
  return 1 / (1 / restS + speedMps / wayM);
}
