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

/** A slow process is drawn so many times in its correlation time. */
const DRAWS = 10;

/**
 * First-order Gauss-Markov process of unit variance and a given correlation time, sampled at a fixed interval. A slow
 * one is drawn on a coarser grid and interpolated linearly between: on average its variance is 3 percent smaller by it.
 * Source: R. G. Brown, P. Y. C. Hwang, Introduction to Random Signals and Applied Kalman Filtering, section 3.6.
 */
export class GaussMarkov {
  readonly #stream: Stream;
  readonly #decay: number;
  readonly #drive: number;
  /** Samples from one draw to the next. */
  readonly #stride: number;
  /** Samples left until the value drawn last is reached. */
  #left = 0;
  #target: number;
  #slope = 0;
  #unit: number;

  /** @param correlationS time after which the correlation has fallen to 1/e, s; 0 gives white noise */
  constructor(stream: Stream, correlationS: number, intervalS: number) {
    this.#stream = stream;
    this.#stride = Math.max(1, Math.floor(correlationS / (DRAWS * intervalS)));
    this.#decay = correlationS > 0 ? Math.exp((-intervalS * this.#stride) / correlationS) : 0;
    this.#drive = Math.sqrt(1 - this.#decay * this.#decay);
    this.#target = stream.normal();
    this.#unit = this.#target;
  }

  /** The present value: multiply by the standard deviation. */
  get unit(): number {
    return this.#unit;
  }

  /** One interval further. */
  step(): void {
    if (this.#left === 0) this.#draw();
    this.#left--;
    this.#unit = this.#target - this.#slope * this.#left;
  }

  /** Draws the value at the end of the next stride. */
  #draw(): void {
    const from = this.#target;
    this.#target = this.#decay * from + this.#drive * this.#stream.normal();
    this.#slope = (this.#target - from) / this.#stride;
    this.#left = this.#stride;
  }
}
