import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { percentile } from '../../src/statistics/percentile.js';

const VALUES = fc
  .array(fc.double({ noNaN: true, noDefaultInfinity: true }), { minLength: 1, maxLength: 300 })
  .map((values) => values.sort((a, b) => a - b));

describe('percentile', () => {
  it.each([
    [5, 15],
    [30, 20],
    [40, 20],
    [50, 35],
    [100, 50],
    [0, 15],
  ])('%d %% of five values is %d: a rank is rounded up', (percent, expected) => {
    expect(percentile([15, 20, 35, 40, 50], percent)).toBe(expected);
  });

  it('does not round a whole rank up to the next', () => {
    const hundred = Array.from({ length: 100 }, (_, index) => index + 1);
    for (let percent = 1; percent <= 100; percent++) expect(percentile(hundred, percent)).toBe(percent);
  });

  it('is the smallest value with at least so many percent at or below it', () => {
    fc.assert(
      fc.property(VALUES, fc.integer({ min: 1, max: 100 }), (sorted, percent) => {
        const found = percentile(sorted, percent);
        const atOrBelow = (limit: number) => sorted.filter((value) => value <= limit).length;
        const smaller = sorted.filter((value) => value < found);
        expect(sorted).toContain(found);
        expect(atOrBelow(found) * 100).toBeGreaterThanOrEqual(percent * sorted.length);
        if (smaller.length > 0) expect(smaller.length * 100).toBeLessThan(percent * sorted.length);
      }),
    );
  });

  it.each([
    [[], 50],
    [[1], -1],
    [[1], 101],
    [[1], Number.NaN],
  ])('refuses %j at %d %%', (sorted, percent) => {
    expect(() => percentile(sorted, percent)).toThrow(RangeError);
  });
});
