import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { GaussMarkov, RandomStreams, type Stream, WhiteNoise } from '../../src/base/random.js';

const SAMPLES = 200_000;
const CORRELATION_S = 10;
/**
 * Samples of a process with correlation time T in steps of one are worth (1 - d) / (1 + d) as many
 * independent ones.
 */
const DECAY = Math.exp(-1 / CORRELATION_S);
const INDEPENDENT = (SAMPLES * (1 - DECAY ** 2)) / (1 + DECAY ** 2);
/** Five standard deviations: a seed that fails by chance is one in two million (and seeds here are fixed). */
const SIGMAS = 5;

function take(stream: Stream, count: number): number[] {
  return Array.from({ length: count }, (_, i) => (i % 3 === 0 ? stream.uniform() : stream.normal()));
}

describe('random streams', () => {
  it('the same seed and name give the same values', () => {
    fc.assert(
      fc.property(fc.integer(), fc.string(), (seed, name) => {
        expect(take(new RandomStreams(seed).stream(name), 50)).toEqual(take(new RandomStreams(seed).stream(name), 50));
      }),
    );
  });

  it('another seed or another name gives others', () => {
    const first = (seed: number, name: string) => new RandomStreams(seed).stream(name).uniform();
    const values = [first(1, 'a'), first(2, 'a'), first(1, 'b'), first(11, 'a'), first(1, '1/a'), first(-1, 'a')];
    expect(new Set(values).size).toBe(values.length);
  });

  it('what is drawn from one stream moves no other, in whatever order they are asked for', () => {
    const quiet = new RandomStreams(7);
    const expected = take(quiet.stream('fading/G05'), 20);
    const busy = new RandomStreams(7);
    take(busy.stream('search/G05'), 1000);
    const stream = busy.stream('fading/G05');
    const seen = Array.from({ length: 20 }, (_, i) => {
      take(busy.stream('noise'), i);
      return i % 3 === 0 ? stream.uniform() : stream.normal();
    });
    expect(seen).toEqual(expected);
  });

  it('uniform values lie in [0, 1), normal ones have mean 0 and variance 1', () => {
    const stream = new RandomStreams(3).stream('moments');
    let [sum, squares, uniformSum] = [0, 0, 0];
    for (let i = 0; i < SAMPLES; i++) {
      const u = stream.uniform();
      if (!(u >= 0 && u < 1)) expect.fail(`uniform ${u}`);
      uniformSum += u;
      const x = stream.normal();
      sum += x;
      squares += x * x;
    }
    expect(Math.abs(uniformSum / SAMPLES - 0.5)).toBeLessThan(SIGMAS * Math.sqrt(1 / 12 / SAMPLES));
    expect(Math.abs(sum / SAMPLES)).toBeLessThan(SIGMAS / Math.sqrt(SAMPLES));
    expect(Math.abs(squares / SAMPLES - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / SAMPLES));
  });

  it('two streams of one seed are not correlated', () => {
    const streams = new RandomStreams(9);
    const [a, b] = [streams.stream('satellite/G01'), streams.stream('satellite/G02')];
    let sum = 0;
    for (let i = 0; i < SAMPLES; i++) sum += a.normal() * b.normal();
    expect(Math.abs(sum / SAMPLES)).toBeLessThan(SIGMAS / Math.sqrt(SAMPLES));
  });
});

describe('Gauss-Markov process', () => {
  const values = (() => {
    const process = new GaussMarkov(new RandomStreams(5).stream('wander'), CORRELATION_S, { lengthS: 1 });
    return Float64Array.from({ length: SAMPLES }, () => {
      process.step();
      return process.unit;
    });
  })();

  function covariance(lag: number): number {
    let sum = 0;
    for (let i = lag; i < SAMPLES; i++) sum += values[i]! * values[i - lag]!;
    return sum / (SAMPLES - lag);
  }

  it('has unit variance', () => {
    expect(Math.abs(covariance(0) - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / INDEPENDENT));
  });

  it.each([1, 5, 10, 20, 40])('at a lag of %i s is correlated by exp(-lag / correlation time)', (lagS) => {
    const expected = Math.exp(-lagS / CORRELATION_S);
    expect(Math.abs(covariance(lagS) - expected)).toBeLessThan(SIGMAS * Math.sqrt(2 / INDEPENDENT));
  });

  it('is stationary from its first value on: the spread over many seeds is that of later values', () => {
    const count = 4000;
    let [first, later] = [0, 0];
    for (let seed = 0; seed < count; seed++) {
      const process = new GaussMarkov(new RandomStreams(seed).stream('wander'), CORRELATION_S, { lengthS: 1 });
      first += process.unit ** 2;
      for (let i = 0; i < 5; i++) process.step();
      later += process.unit ** 2;
    }
    expect(Math.abs(first / count - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / count));
    expect(Math.abs(later / count - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / count));
  });

  it('does not depend on the interval it is sampled at: the correlation over 1 s is the same in steps of 0.1 s', () => {
    const fine = new GaussMarkov(new RandomStreams(6).stream('wander'), 1, { lengthS: 0.1 });
    let [sum, squares] = [0, 0];
    for (let i = 0; i < 50_000; i++) {
      const before = fine.unit;
      for (let k = 0; k < 10; k++) fine.step();
      sum += before * fine.unit;
      squares += before * before;
    }
    expect(Math.abs(sum / squares - Math.exp(-1))).toBeLessThan(SIGMAS / Math.sqrt(50_000));
  });

  it('keeps variance and correlation where it is slow against its interval', () => {
    const [count, lag, slowS] = [4000, 1000, 2000];
    let [between, later, product] = [0, 0, 0];
    for (let seed = 0; seed < count; seed++) {
      const process = new GaussMarkov(new RandomStreams(seed).stream('wander'), slowS, { lengthS: 1 });
      for (let i = 0; i < 3; i++) process.step();
      const early = process.unit;
      for (let i = 0; i < lag; i++) process.step();
      between += early ** 2;
      later += process.unit ** 2;
      product += early * process.unit;
    }
    const tolerance = SIGMAS * Math.sqrt(2 / count);
    expect(Math.abs(between / count - 1)).toBeLessThan(tolerance);
    expect(Math.abs(later / count - 1)).toBeLessThan(tolerance);
    expect(Math.abs(product / count - Math.exp(-lag / slowS))).toBeLessThan(tolerance);
  });

  it.each([1, 25, 50, 75, 99])('is of unit variance %i percent of the way from one draw to the next', (steps) => {
    const [count, drawS] = [20_000, 100];
    let sum = 0;
    const streams = new RandomStreams(11);
    for (let i = 0; i < count; i++) {
      const process = new GaussMarkov(streams.stream(`${i}`), 10 * drawS, { lengthS: 1 });
      for (let k = 0; k < steps; k++) process.step();
      sum += process.unit ** 2;
    }
    expect(Math.abs(sum / count - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / count));
  });

  it('takes another correlation time from the next draw on, and keeps its variance', () => {
    const process = new GaussMarkov(new RandomStreams(12).stream('wander'), 60, { lengthS: 1 });
    const moments = (correlationS: number) => {
      for (let i = 0; i < 10; i++) process.step(correlationS);
      let [squares, products] = [0, 0];
      for (let i = 0; i < SAMPLES; i++) {
        const before = process.unit;
        process.step(correlationS);
        squares += process.unit ** 2;
        products += before * process.unit;
      }
      return { variance: squares / SAMPLES, correlation: products / squares };
    };
    for (const correlationS of [0.5, CORRELATION_S, 0.5]) {
      const decay = Math.exp(-1 / correlationS);
      const tolerance = SIGMAS * Math.sqrt((2 * (1 + decay ** 2)) / ((1 - decay ** 2) * SAMPLES));
      const { variance, correlation } = moments(correlationS);
      expect(Math.abs(variance - 1)).toBeLessThan(tolerance);
      expect(Math.abs(correlation - decay)).toBeLessThan(tolerance);
    }
  });

  it('with a correlation time of 0 is white noise', () => {
    const white = new GaussMarkov(new RandomStreams(8).stream('white'), 0, { lengthS: 1 });
    let sum = 0;
    for (let i = 0; i < SAMPLES; i++) {
      const before = white.unit;
      white.step();
      sum += before * white.unit;
    }
    expect(Math.abs(sum / SAMPLES)).toBeLessThan(SIGMAS / Math.sqrt(SAMPLES));
  });
});

describe('white noise by number', () => {
  const streams = new RandomStreams(21);
  const noise = (name: string) => new WhiteNoise(streams.stream(name));
  const [a, b] = [noise('a'), noise('b')];

  /** Mean of a product of two values over many numbers. */
  function mean(of: (index: number) => number): number {
    let sum = 0;
    for (let i = 0; i < SAMPLES; i++) sum += of(i);
    return sum / SAMPLES;
  }

  it('has mean 0, variance 1 and the fourth moment of a normal', () => {
    expect(Math.abs(mean((i) => a.normal(i)))).toBeLessThan(SIGMAS / Math.sqrt(SAMPLES));
    expect(Math.abs(mean((i) => a.normal(i) ** 2) - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / SAMPLES));
    // The variance of the fourth power of a unit normal is 105 - 9.
    expect(Math.abs(mean((i) => a.normal(i) ** 4) - 3)).toBeLessThan(SIGMAS * Math.sqrt(96 / SAMPLES));
  });

  it.each([1, 2, 60])('numbers %i apart, and two streams, have nothing in common', (lag) => {
    const tolerance = SIGMAS / Math.sqrt(SAMPLES);
    expect(Math.abs(mean((i) => a.normal(i) * a.normal(i + lag)))).toBeLessThan(tolerance);
    expect(Math.abs(mean((i) => a.normal(i) * b.normal(i + lag - 1)))).toBeLessThan(tolerance);
    expect(Math.abs(mean((i) => a.normal(i) ** 2 * b.normal(i) ** 2) - 1)).toBeLessThan(tolerance * Math.sqrt(8));
  });

  it('depends on the number alone, not on what was asked before', () => {
    expect([a.normal(9), a.normal(3), a.normal(9)]).toEqual([noise('a').normal(9), a.normal(3), a.normal(9)]);
  });
});
