import { describe, expect, it } from 'vitest';
import { chiSquareLimit, chiSquareTail, noncentralBelow, normalBelow } from '../../../src/sim/receiver/chi-square.js';
import { stream } from './measured.js';

/** Three decimals are printed. */
const PRINTED = 0.0006;
const DRAWS = 20_000;
/** 4.5 standard deviations of a share of so many draws, and the approximation's own error. */
const SHARE = 4.5 * Math.sqrt(0.25 / DRAWS) + 0.005;

/** Upper tail 0.10, 0.05, 0.025, 0.01, 0.001. */
const PRINTED_ROWS: ReadonlyArray<readonly [number, readonly number[]]> = [
  [1, [2.706, 3.841, 5.024, 6.635, 10.828]],
  [2, [4.605, 5.991, 7.378, 9.21, 13.816]],
  [3, [6.251, 7.815, 9.348, 11.345, 16.266]],
  [10, [15.987, 18.307, 20.483, 23.209, 29.588]],
  [100, [118.498, 124.342, 129.561, 135.807, 149.449]],
];

describe('chi-square distribution', () => {
  it.each(PRINTED_ROWS)(
    'NIST/SEMATECH e-Handbook 1.3.6.7.4 (from memory): critical values of %d degrees of freedom',
    (degrees, values) => {
      for (const [i, tail] of [0.1, 0.05, 0.025, 0.01, 0.001].entries()) {
        expect(Math.abs(chiSquareLimit(tail, degrees) - values[i]!)).toBeLessThan(PRINTED);
      }
    },
  );

  it('two degrees: exp(-x / 2), however far out; four: times 1 + x / 2', () => {
    for (const x of [0.01, 0.5, 2, 5, 23.026, 60, 300]) {
      expect(Math.abs(chiSquareTail(x, 2) / Math.exp(-x / 2) - 1)).toBeLessThan(1e-12);
      expect(Math.abs(chiSquareTail(x, 4) / (Math.exp(-x / 2) * (1 + x / 2)) - 1)).toBeLessThan(1e-12);
    }
    expect([chiSquareTail(0, 3), chiSquareTail(-1, 3), chiSquareTail(1e6, 3)]).toEqual([1, 1, 0]);
  });

  it('the limit is where the tail has the probability, for 1 to 120 degrees', () => {
    for (let degrees = 1; degrees <= 120; degrees++) {
      const limit = chiSquareLimit(1e-5, degrees);
      expect(Math.abs(chiSquareTail(limit, degrees) / 1e-5 - 1)).toBeLessThan(1e-6);
    }
  });

  it('the normal distribution is its root: the 68, 95, 99.7 rule, both sides alike', () => {
    for (const [z, within] of [
      [1, 0.682689],
      [2, 0.9545],
      [3, 0.9973],
    ] as const) {
      expect(Math.abs(normalBelow(z) - normalBelow(-z) - within)).toBeLessThan(1e-6);
      expect(Math.abs(normalBelow(z) + normalBelow(-z) - 1)).toBeLessThan(1e-15);
    }
    expect(normalBelow(0)).toBe(0.5);
  });

  it('non-central: as often below as sums of squares of shifted normal draws are', () => {
    const random = stream('non-central');
    for (const [degrees, noncentrality] of [
      [1, 4],
      [3, 20],
      [8, 60],
      [30, 10],
      [30, 90],
    ] as const) {
      for (const quantile of [0.1, 0.5, 0.9]) {
        const x = degrees + noncentrality + 1.28 * Math.sqrt(2 * degrees + 4 * noncentrality) * (2 * quantile - 1);
        let below = 0;
        for (let k = 0; k < DRAWS / 5; k++) {
          let sum = (random.normal() + Math.sqrt(noncentrality)) ** 2;
          for (let i = 1; i < degrees; i++) sum += random.normal() ** 2;
          if (sum <= x) below++;
        }
        const share = below / (DRAWS / 5);
        expect(Math.abs(noncentralBelow(x, degrees, noncentrality) - share)).toBeLessThan(SHARE * 2);
      }
    }
    expect(noncentralBelow(40, 10, 0)).toBeGreaterThan(0.9999);
    expect(noncentralBelow(40, 10, 1e8)).toBe(0);
  });
});
