import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { driftOf } from '../../src/statistics/drift-of.js';
import { horizontalScatter, scatterAboutReference } from '../../src/statistics/horizontal-scatter.js';
import { verticalScatter } from '../../src/statistics/vertical-scatter.js';

/** Sums of a thousand coordinates below 1 km round to less. */
const ROUNDING_M = 1e-6;
const METRES = fc.double({ min: -1000, max: 1000, noNaN: true });
const POINTS = fc.array(fc.record({ eastM: METRES, northM: METRES }), { minLength: 1, maxLength: 200 });

describe('horizontal scatter', () => {
  it('of four points on a circle is the circle, about its centre', () => {
    const points = [
      { eastM: 13, northM: 20 },
      { eastM: 7, northM: 20 },
      { eastM: 10, northM: 23 },
      { eastM: 10, northM: 17 },
    ];
    expect(horizontalScatter(points)).toMatchObject({ count: 4, meanEastM: 10, meanNorthM: 20, cepM: 3, r95M: 3 });
    expect(horizontalScatter(points).drmsM).toBeCloseTo(3, 12);
    expect(horizontalScatter(points).maxM).toBe(3);
  });

  it('holds 50 and 95 % of the points, and no smaller circle of the points does', () => {
    fc.assert(
      fc.property(POINTS, (points) => {
        const { meanEastM, meanNorthM, cepM, r95M, maxM } = horizontalScatter(points);
        const distances = points.map(({ eastM, northM }) => Math.hypot(eastM - meanEastM, northM - meanNorthM));
        const share = (radiusM: number) => distances.filter((distance) => distance <= radiusM).length / points.length;
        const below = (radiusM: number) => distances.filter((distance) => distance < radiusM).length / points.length;
        expect(share(cepM)).toBeGreaterThanOrEqual(0.5);
        expect(share(r95M)).toBeGreaterThanOrEqual(0.95);
        expect(below(cepM)).toBeLessThan(0.5);
        expect(below(r95M)).toBeLessThan(0.95);
        expect(share(maxM)).toBe(1);
      }),
    );
  });

  it('does not move when all points do, but its mean does', () => {
    fc.assert(
      fc.property(POINTS, METRES, (points, shiftM) => {
        const still = horizontalScatter(points);
        const moved = horizontalScatter(points.map(({ eastM, northM }) => ({ eastM: eastM + shiftM, northM })));
        for (const key of ['cepM', 'r95M', 'maxM', 'meanNorthM'] as const) {
          expect(Math.abs(moved[key] - still[key]), key).toBeLessThan(ROUNDING_M);
        }
        expect(Math.abs(moved.meanEastM - still.meanEastM - shiftM)).toBeLessThan(ROUNDING_M);
      }),
    );
  });

  it('about a reference counts a constant offset', () => {
    const errors = Array.from({ length: 20 }, () => ({ eastM: 3, northM: -4 }));
    expect(scatterAboutReference(errors)).toMatchObject({ offsetM: 5, cepM: 5, r95M: 5, drmsM: 5, twoDrmsM: 10 });
    expect(horizontalScatter(errors)).toMatchObject({ cepM: 0, r95M: 0, drmsM: 0 });
  });

  it('of no points is refused, not NaN', () => {
    expect(() => horizontalScatter([])).toThrow(RangeError);
    expect(() => scatterAboutReference([])).toThrow(RangeError);
    expect(() => verticalScatter([])).toThrow(RangeError);
  });
});

describe('vertical scatter', () => {
  it('tells mean, range and 95 %, about the mean and about zero', () => {
    const heights = [...Array.from({ length: 19 }, () => 10), 30];
    const found = verticalScatter(heights);
    expect(found).toMatchObject({ count: 20, meanM: 11, minM: 10, maxM: 30, r95M: 1, r95AboutZeroM: 10 });
    expect(found.sigmaM).toBeCloseTo(Math.sqrt((19 * 1 + 361) / 20), 12);
  });
});

describe('drift', () => {
  it('of a straight line is its slope', () => {
    const points = [0, 3, 4, 10].map((tS) => ({ tS, eastM: 2 - 0.5 * tS, northM: 1 + 0.25 * tS }));
    const drift = driftOf(points);
    expect(drift?.eastMps).toBeCloseTo(-0.5, 12);
    expect(drift?.northMps).toBeCloseTo(0.25, 12);
  });

  it('keeps its figures where times are large', () => {
    const t0 = 1.7e9;
    const points = Array.from({ length: 60 }, (_, i) => ({ tS: t0 + i, eastM: 0.01 * i, northM: 0 }));
    expect(driftOf(points)?.eastMps).toBeCloseTo(0.01, 9);
  });

  it('is not told where there is none to tell', () => {
    expect(driftOf([])).toBeNull();
    expect(driftOf([{ tS: 0, eastM: 0, northM: 0 }])).toBeNull();
    expect(driftOf(Array.from({ length: 5 }, (_, i) => ({ tS: 4, eastM: i, northM: 0 })))).toBeNull();
  });
});
