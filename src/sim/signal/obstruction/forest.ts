import type { SatelliteView } from '../../sky/sky.js';
import type { Obstruction, Passage } from './obstruction.js';

/** The most that foliage takes, dB: then the signal finds other ways (ITU-R P.833-9, 2, near 1.6 GHz; from memory). */
const GREATEST_DB = 27;

/** Fading under leaves: a share of the loss, up to a few dB (common practice). */
const FADING_SHARE = 0.3;
const GREATEST_FADING_DB = 4;

/** How much larger multipath errors are among trunks (common practice). */
const FOREST_SCALE = 1.5;

/**
 * Under a canopy of even height. The loss grows with the way through it, height / sin(elevation), and saturates:
 * A = Am (1 - exp(-d g / Am)) with d the way, g the loss of a metre, Am the greatest loss.
 * Source: ITU-R P.833-9, equation 1.
 */
export class Forest implements Obstruction {
  /** Leaves move in the wind; a metre on, others are in the way (common practice). */
  readonly fading = { restS: 10, wayM: 1 };
  /** Loss straight up, as a share of the greatest. */
  readonly #zenithShare: number;

  /** @param canopyM its height above the antenna */
  constructor(canopyM: number, lossDbPerM: number) {
    this.#zenithShare = (canopyM * lossDbPerM) / GREATEST_DB;
  }

  begin(): void {}

  pass({ sinElevation }: SatelliteView, fade: number, out: Passage): void {
    const meanDb = GREATEST_DB * (1 - Math.exp(-this.#zenithShare / sinElevation));
    out.lossDb = Math.max(0, meanDb + Math.min(GREATEST_FADING_DB, FADING_SHARE * meanDb) * fade);
    out.multipathScale = FOREST_SCALE;
    out.detourM = 0;
  }
}
