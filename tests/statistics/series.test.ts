import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { histogram } from '../../src/statistics/histogram.js';
import { ThinnedSeries } from '../../src/statistics/thinned-series.js';

describe('a thinned series', () => {
  it('keeps every step-th value from the first on, at most the limit and at least half of it', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 50 }), fc.integer({ min: 0, max: 2000 }), (limit, count) => {
        const series = new ThinnedSeries<number>(limit);
        for (let i = 0; i < count; i++) series.add(i);
        expect(series.values).toEqual(
          Array.from({ length: Math.ceil(count / series.step) }, (_, index) => index * series.step),
        );
        expect(series.values.length).toBeLessThanOrEqual(limit);
        if (count >= limit) expect(series.values.length).toBeGreaterThanOrEqual(Math.floor(limit / 2));
        expect(series.count).toBe(count);
        expect(Math.log2(series.step) % 1).toBe(0);
      }),
    );
  });

  it('of a million holds no more than its limit at any time', () => {
    const series = new ThinnedSeries<number>(1000);
    let most = 0;
    for (let i = 0; i < 1e6; i++) {
      series.add(i);
      most = Math.max(most, series.values.length);
    }
    expect(most).toBe(1000);
    expect(series.step).toBe(1024);
  });

  it('of less than two is refused', () => {
    expect(() => new ThinnedSeries(1)).toThrow(RangeError);
  });
});

describe('a histogram', () => {
  it('puts an edge into the class above it, and the last edge into the last class', () => {
    const values = [-0.1, 0, 0.1, 0.2, 0.4, 0.5, 0.6].map((value) => [value, 1] as const);
    const { bins, below, above } = histogram([...values, [0.3, 2]], { from: 0, to: 0.5, bins: 5 });
    expect(bins.map(({ count }) => count)).toEqual([1, 1, 1, 2, 2]);
    expect([below, above]).toEqual([1, 1]);
  });

  it('loses no value, and each lies in its class', () => {
    const values = fc.array(fc.double({ min: -10, max: 10, noNaN: true }), { maxLength: 100 });
    fc.assert(
      fc.property(values, fc.integer({ min: 1, max: 30 }), (list, bins) => {
        const found = histogram(
          list.map((value) => [value, 1]),
          { from: -3, to: 4, bins },
        );
        const counted = found.bins.reduce((sum, { count }) => sum + count, 0);
        expect(counted + found.below + found.above).toBe(list.length);
        for (const [index, { from, to, count }] of found.bins.entries()) {
          const isLast = index === bins - 1;
          const inside = list.filter((value) => value >= from && (value < to || (isLast && value <= to)));
          expect(count).toBe(inside.length);
        }
      }),
    );
  });

  it.each([
    { from: 1, to: 1, bins: 3 },
    { from: 0, to: 1, bins: 0 },
    { from: 0, to: Number.NaN, bins: 3 },
  ])('over no range is refused: %j', (range) => {
    expect(() => histogram([], range)).toThrow(RangeError);
  });
});
