import type { Stream } from '../../base/random.js';
import type { ReceiverClockTruth } from '../epoch.js';

/** Largest departure from GPS time, s: beyond it the receiver steps its clock back by a millisecond. */
const LARGEST_S = 0.0005;
/** Drift of a crystal of a receiver at the start, one standard deviation, s/s: common practice. */
const DRIFT = 2e-7;

/**
 * Spectral densities of the white noise in frequency, s, and of its random walk, 1/s: h0 / 2 and 2 pi^2 h-2 of a
 * temperature compensated crystal, h0 = 2e-19 s, h-2 = 2e-20 1/s. Source: R. G. Brown, P. Y. C. Hwang, Introduction to
 * Random Signals and Applied Kalman Filtering, chapter on GPS, table of Allan variance parameters (from memory).
 */
const BIAS_DENSITY_S = 2e-19 / 2;
const DRIFT_DENSITY_PER_S = 2 * Math.PI ** 2 * 2e-20;

/**
 * The receiver's own clock: its frequency walks, its bias follows and is stepped back by whole milliseconds. Two-state
 * model of Brown and Hwang (as above).
 */
export class ReceiverClock implements ReceiverClockTruth {
  readonly #stream: Stream | null;
  #atS = 0;
  #biasS = 0;
  #driftSps = 0;

  /** @param stream null: a perfect clock */
  constructor(stream: Stream | null) {
    this.#stream = stream;
    if (stream === null) return;
    this.#biasS = (stream.uniform() - 0.5) * 2 * LARGEST_S;
    this.#driftSps = DRIFT * stream.normal();
  }

  /** Receiver's reading minus GPS time, s, in [-0.0005, 0.0005). */
  get biasS(): number {
    return this.#biasS;
  }

  /** What the bias grows by in a second, s/s. */
  get driftSps(): number {
    return this.#driftSps;
  }

  /** On to an epoch `tS` seconds after the start, not before the one it stands at; twice the same changes nothing. */
  advance(tS: number): void {
    const stepS = tS - this.#atS;
    if (this.#stream === null || stepS <= 0) return;
    this.#atS = tS;
    const walk = Math.sqrt(DRIFT_DENSITY_PER_S * stepS) * this.#stream.normal();
    const deviationS = Math.sqrt((BIAS_DENSITY_S + (DRIFT_DENSITY_PER_S * stepS * stepS) / 12) * stepS);
    const free = this.#biasS + (this.#driftSps + walk / 2) * stepS + deviationS * this.#stream.normal();
    this.#driftSps += walk;
    this.#biasS = free - 2 * LARGEST_S * Math.floor(free / (2 * LARGEST_S) + 0.5);
  }
}
