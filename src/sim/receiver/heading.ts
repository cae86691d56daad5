import { GaussMarkov, type SampleInterval, type Stream } from '../../base/random.js';
import type { Heading } from '../epoch.js';
import { turnDeg, wrapCourseDeg } from '../trajectory/geodesy.js';

/**
 * Standard deviation of the heading from two antennas a metre apart, deg (common practice), and how long it lasts, s.
 */
const NOISE_DEG = 0.3;
const NOISE_S = 5;

/** A heading and its rate, however it is had. */
export class HeadingSensor {
  readonly #noise: GaussMarkov;
  #last: { readonly atS: number; readonly headingDeg: number } | null = null;

  constructor(stream: Stream, interval: SampleInterval) {
    this.#noise = new GaussMarkov(stream, NOISE_S, interval);
  }

  /** One epoch of two antennas on a vehicle that points along `courseDeg`, whether it moves or not. */
  fromTwoAntennas(tS: number, courseDeg: number, isExact: boolean): Heading {
    this.#noise.step();
    return this.from(tS, courseDeg + (isExact ? 0 : NOISE_DEG * this.#noise.unit));
  }

  /** One epoch of a heading taken as `headingDeg`. */
  from(tS: number, headingDeg: number): Heading {
    const wrappedDeg = wrapCourseDeg(headingDeg);
    const last = this.#last;
    this.#last = { atS: tS, headingDeg: wrappedDeg };
    if (last === null || tS <= last.atS) return { headingDeg: wrappedDeg, rateDegPerMin: null };
    const rateDegPerMin = (turnDeg(last.headingDeg, wrappedDeg) / (tS - last.atS)) * 60;
    return { headingDeg: wrappedDeg, rateDegPerMin };
  }

  /** No heading at this epoch: its rate begins anew. */
  forget(): void {
    this.#last = null;
  }
}
