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

/** Finalizer of MurmurHash3 (A. Appleby, public domain): every bit of the result depends on every bit of the number. */
function mix(number: number): number {
  let bits = number | 0;
  bits = Math.imul(bits ^ (bits >>> 16), 0x85ebca6b);
  bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35);
  return (bits ^ (bits >>> 16)) >>> 0;
}

const TWO_TO_32 = 2 ** 32;

/**
 * White noise that costs nothing where nobody looks: its value follows from the sample's number alone, so that what is
 * not asked for moves nothing. Method: G. E. P. Box, M. E. Muller (1958), from two hashes of the number.
 */
export class WhiteNoise {
  readonly #key: number;

  /** @param stream gives the key */
  constructor(stream: Stream) {
    this.#key = Math.floor(stream.uniform() * TWO_TO_32);
  }

  /** Standard normal. @param index number of the sample, a whole number from 0, below 2^31 */
  normal(index: number): number {
    const first = mix(this.#key ^ mix(2 * index));
    const second = mix(this.#key ^ mix(2 * index + 1));
    return Math.sqrt(-2 * Math.log((first + 0.5) / TWO_TO_32)) * Math.cos((2 * Math.PI * second) / TWO_TO_32);
  }
}

/** From one sample to the next: one object that all who sample together share. It may change between two samples. */
export interface SampleInterval {
  /** Above 0, s. */
  readonly lengthS: number;
}

/** A correlation time that differs by a smaller share is the same: a speed is never quite constant. */
const SAME = 0.01;

/** A slow process is drawn so many times in its correlation time. */
const DRAWS = 10;

/** Nearer than this share of a sample to one, a draw falls on it: decimal intervals are not binary fractions. */
const ON_SAMPLE = 1e-6;

/**
 * First-order Gauss-Markov process of unit variance, sampled at an interval that may change. A slow one is drawn on a
 * coarser grid and interpolated between, with what interpolation takes from the variance given back.
 * Source: R. G. Brown, P. Y. C. Hwang, Introduction to Random Signals and Applied Kalman Filtering, section 3.6.
 */
export class GaussMarkov {
  readonly #stream: Stream;
  readonly #interval: SampleInterval;
  /** The interval as it was at the last step, s. */
  #intervalS: number;
  #correlationS = -1;
  /** The next draw needs new coefficients. */
  #isStale = false;
  /** Correlation of the ends of the stride in progress, and what a draw adds. */
  #decay = 0;
  #drive = 1;
  /** Samples from one draw to the next. */
  #stride = 1;
  /** Samples left until the value drawn last is reached. */
  #left = 0;
  #target: number;
  #slope = 0;
  #unit: number;

  /** @param correlationS time after which the correlation has fallen to 1/e, s; 0 gives white noise */
  constructor(stream: Stream, correlationS: number, interval: SampleInterval) {
    this.#stream = stream;
    this.#interval = interval;
    this.#intervalS = interval.lengthS;
    this.#correlate(correlationS);
    this.#target = stream.normal();
    this.#unit = this.#target;
  }

  /** The present value: multiply by the standard deviation. */
  get unit(): number {
    return this.#unit;
  }

  /**
   * One interval further.
   * @param correlationS the correlation time from here on, s: counts from the next draw, at latest after a tenth of the
   * one before, and once it differs by more than one in a hundred; left out, it stays as it is
   */
  step(correlationS = this.#correlationS): void {
    if (this.#interval.lengthS !== this.#intervalS) this.#changeInterval();
    if (this.#left === 0) {
      const otherwiseS = correlationS - this.#correlationS;
      const isOther = otherwiseS !== 0 && Math.abs(otherwiseS) > SAME * this.#correlationS;
      if (isOther || this.#isStale) this.#correlate(correlationS);
      this.#draw();
    }
    const left = --this.#left;
    if (left === 0) {
      this.#unit = this.#target;
      return;
    }
    // Between two unit normals of correlation d, the fraction f of the way, the variance is 1 - 2 f (1 - f) (1 - d). Of
    // this loss of at most 0.05 three terms of 1 / sqrt(1 - loss) leave 4e-5.
    const fraction = left / this.#stride;
    const loss = 2 * fraction * (1 - fraction) * (1 - this.#decay);
    this.#unit = (this.#target - this.#slope * left) * (1 + loss * (0.5 + 0.375 * loss));
  }

  #correlate(correlationS: number): void {
    this.#correlationS = correlationS;
    this.#isStale = false;
    this.#stride = Math.max(1, Math.floor(correlationS / (DRAWS * this.#intervalS)));
    this.#decay = this.#decayIn(this.#intervalS * this.#stride);
    this.#drive = Math.sqrt(1 - this.#decay * this.#decay);
  }

  /** Draws the value at the end of the next stride. */
  #draw(): void {
    const from = this.#target;
    this.#target = this.#decay * from + this.#drive * this.#stream.normal();
    this.#slope = (this.#target - from) / this.#stride;
    this.#left = this.#stride;
  }

  /**
   * Lays what is left of the stride in progress out on the new samples. Where its end falls between two of them, the
   * process is drawn on to the later one; the way there begins at the present value, so that nothing jumps.
   */
  #changeInterval(): void {
    const leftS = this.#left * this.#intervalS;
    const fraction = this.#left / this.#stride;
    this.#intervalS = this.#interval.lengthS;
    this.#isStale = true;
    if (this.#left === 0) return;
    const left = Math.max(1, Math.ceil(leftS / this.#intervalS - ON_SAMPLE));
    const further = this.#decayIn(Math.max(0, left * this.#intervalS - leftS));
    if (further < 1) {
      this.#target = further * this.#target + Math.sqrt(1 - further * further) * this.#stream.normal();
    }
    // Of a value between two unit normals of correlation d, made a unit normal itself, with the second of them.
    const loss = 2 * fraction * (1 - fraction) * (1 - this.#decay);
    this.#decay = (further * (fraction * this.#decay + 1 - fraction)) / Math.sqrt(1 - loss);
    this.#stride = left;
    this.#left = left;
    this.#slope = (this.#target - this.#unit) / left;
  }

  /** Correlation of two values so far apart, s. */
  #decayIn(apartS: number): number {
    return this.#correlationS > 0 ? Math.exp(-apartS / this.#correlationS) : 0;
  }
}
