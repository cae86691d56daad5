import { randomNormal } from 'd3-random';
import seedrandom from 'seedrandom';

/** One named stream of random numbers. */
export interface Stream {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/**
 * Named streams forked from one seed: the same seed and name give the same values in every run, and drawing from one
 * stream moves no other. The generator is Alea (J. Baagøe) from seedrandom, the deviates are d3-random's.
 */
export class RandomStreams {
  readonly #seed: number;

  constructor(seed: number) {
    this.#seed = seed;
  }

  /** A fresh stream at its beginning; asking twice gives two copies of it. */
  stream(name: string): Stream {
    const uniform = seedrandom.alea(`${this.#seed}/${name}`);
    return { uniform, normal: randomNormal.source(uniform)(0, 1) };
  }
}

/**
 * First-order Gauss-Markov process: standard deviation and correlation time, sampled at a fixed interval.
 * Source: R. G. Brown, P. Y. C. Hwang, Introduction to Random Signals and Applied Kalman Filtering, section 3.6.
 */
export class GaussMarkov {
  readonly #stream: Stream;
  readonly #decay: number;
  readonly #drive: number;
  #unit: number;

  /** @param correlationS time after which the correlation has fallen to 1/e, s; 0 gives white noise */
  constructor(stream: Stream, correlationS: number, intervalS: number) {
    this.#stream = stream;
    this.#decay = correlationS > 0 ? Math.exp(-intervalS / correlationS) : 0;
    this.#drive = Math.sqrt(1 - this.#decay * this.#decay);
    this.#unit = stream.normal();
  }

  /** The present value, of unit variance: multiply by the standard deviation. */
  get unit(): number {
    return this.#unit;
  }

  /** One interval further. */
  step(): void {
    this.#unit = this.#decay * this.#unit + this.#drive * this.#stream.normal();
  }
}
