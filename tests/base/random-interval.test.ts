import { describe, expect, it } from 'vitest';
import { GaussMarkov, RandomStreams } from '../../src/base/random.js';

const PROCESSES = 8000;
/** Five standard deviations of a variance, and of a correlation, estimated from so many independent processes. */
const TOLERANCE = 5 * Math.sqrt(2 / PROCESSES);
/**
 * Values midway between two draws, ten a correlation time, have by so much more in common: 1 / (1 - 0.0475) of linear
 * interpolation's variance, made up for.
 */
const INTERPOLATED = 0.055;

/** Steps of a process: at how many s, and how often. */
type Stretch = readonly [lengthS: number, steps: number];

/** The square, and the product with the first, of the value after each stretch, over many processes. */
function moments(correlationS: number, stretches: readonly Stretch[]) {
  const streams = new RandomStreams(31);
  const squares = stretches.map(() => 0);
  const products = stretches.map(() => 0);
  for (let i = 0; i < PROCESSES; i++) {
    const interval = { lengthS: stretches[0]![0] };
    const process = new GaussMarkov(streams.stream(`${i}`), correlationS, interval);
    let first = 0;
    stretches.forEach(([lengthS, steps], k) => {
      interval.lengthS = lengthS;
      for (let n = 0; n < steps; n++) process.step();
      if (k === 0) first = process.unit;
      squares[k]! += process.unit ** 2 / PROCESSES;
      products[k]! += (first * process.unit) / PROCESSES;
    });
  }
  return { squares, products };
}

function expectKept(correlationS: number, stretches: readonly Stretch[]): void {
  const { squares, products } = moments(correlationS, stretches);
  let sinceS = 0;
  stretches.forEach(([lengthS, steps], k) => {
    if (k > 0) sinceS += lengthS * steps;
    expect(Math.abs(squares[k]! - 1), `variance after stretch ${k}`).toBeLessThan(TOLERANCE);
    const expected = Math.exp(-sinceS / correlationS);
    const off = Math.abs(products[k]! - expected);
    expect(off, `correlation over ${sinceS} s`).toBeLessThan(TOLERANCE + INTERPOLATED * expected);
  });
}

describe('Gauss-Markov process whose interval changes', () => {
  it.each([0.5, 2.5, 10, 60, 200])(
    'from 1 s to 100 ms and back, correlation time %d s: unit variance, and the correlation time in seconds',
    (correlationS) => {
      const steps = Math.min(200, Math.ceil(correlationS * 5));
      // A host's command comes between two epochs: the first interval is neither the old one nor the new one.
      expectKept(correlationS, [
        [1, 7],
        [0.4, 1],
        [0.1, steps],
        [0.6, 1],
        [1, Math.ceil(correlationS / 2)],
        [1, 20],
      ]);
    },
  );

  it('with an interval longer than the correlation time it is as good as white noise, and comes back', () => {
    expectKept(2.5, [
      [0.1, 33],
      [10, 1],
      [10, 3],
      [0.1, 1],
      [0.1, 25],
    ]);
  });

  it.each([
    [2.5, 1],
    [20, 1],
    [60, 3],
  ])('with a correlation time of %d s, at every step another interval: %i of each in turn', (correlationS, turns) => {
    const pair: Stretch[] = [
      [0.1, 1],
      [0.73, 1],
      [0.3, 1],
    ];
    const stretches = Array.from({ length: Math.ceil(correlationS / 1.13) * turns }, () => pair).flat();
    expectKept(correlationS, [[1, 3], ...stretches]);
  });

  it('does not jump where the interval changes: no step is longer than the process makes in the time', () => {
    const streams = new RandomStreams(32);
    for (const correlationS of [10, 60, 1800]) {
      for (const steps of [1, 3, 50, 99]) {
        let square = 0;
        for (let i = 0; i < PROCESSES; i++) {
          const interval = { lengthS: 1 };
          const process = new GaussMarkov(streams.stream(`${correlationS}/${steps}/${i}`), correlationS, interval);
          for (let n = 0; n < steps; n++) process.step();
          const before = process.unit;
          interval.lengthS = 0.1;
          process.step();
          square += (process.unit - before) ** 2 / PROCESSES;
        }
        // Mean square of a step of the process itself; its interpolation is smoother.
        const most = 2 * (1 - Math.exp(-0.1 / correlationS));
        expect(square).toBeGreaterThan(0);
        expect(square).toBeLessThan(most * (1 + TOLERANCE));
      }
    }
  });

  it('an interval that comes back before the next step has changed nothing', () => {
    const values = (touch: boolean) => {
      const interval = { lengthS: 1 };
      const process = new GaussMarkov(new RandomStreams(33).stream('wander'), 60, interval);
      return Array.from({ length: 100 }, () => {
        if (touch) interval.lengthS = 0.1;
        interval.lengthS = 1;
        process.step();
        return process.unit;
      });
    };
    expect(values(true)).toEqual(values(false));
  });
});
