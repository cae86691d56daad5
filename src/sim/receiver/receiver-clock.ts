import type { Stream } from '../../base/random.js';

/** Largest departure from GPS time, s: beyond it the receiver steps its clock back by a millisecond. */
const LARGEST_S = 0.0005;
/** Drift of an uncompensated crystal steered by the receiver, s/s: common practice. */
const DRIFT = 2e-7;

/** The receiver's own clock: a bias that drifts and is stepped back. */
export class ReceiverClock {
  readonly #startS: number;
  readonly driftSps: number;

  /** @param stream null: a perfect clock */
  constructor(stream: Stream | null) {
    this.#startS = stream === null ? 0 : (stream.uniform() - 0.5) * 2 * LARGEST_S;
    this.driftSps = stream === null ? 0 : DRIFT * stream.normal();
  }

  /** Departure from GPS time `tS` seconds after the start, s, in [-0.0005, 0.0005). */
  biasS(tS: number): number {
    const free = this.#startS + this.driftSps * tS;
    return free - 2 * LARGEST_S * Math.floor(free / (2 * LARGEST_S) + 0.5);
  }
}
