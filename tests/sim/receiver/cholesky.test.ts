import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { factor, invert, substitute } from '../../../src/sim/receiver/cholesky.js';
import { inverse } from '../../authorities/dop.js';

/** Condition numbers here are below 1e7: of 16 digits 9 are left, and some. */
const RELATIVE = 1e-7;
const LARGEST_VARIANCE = 1e4;

/** Rows of unit vectors with a clock column, as a sky gives them, and a weight each. */
const rows = fc.array(
  fc.record({
    azimuth: evenly(0, 2 * Math.PI),
    elevation: evenly(0.1, 1.4),
    weight: evenly(0.05, 2),
    value: evenly(-100, 100),
  }),
  { minLength: 6, maxLength: 12 },
);

/** Numbers spread evenly: the usual doubles crowd about zero, where every sky is singular. */
function evenly(min: number, max: number): fc.Arbitrary<number> {
  return fc.integer({ min: 0, max: 100_000 }).map((step) => min + ((max - min) * step) / 100_000);
}

describe('Cholesky against Gauss-Jordan elimination', () => {
  it('solution and inverse of normal equations agree', () => {
    let compared = 0;
    fc.assert(
      fc.property(rows, (all) => {
        const h = all.map(({ azimuth, elevation }) => [
          Math.cos(elevation) * Math.sin(azimuth),
          Math.cos(elevation) * Math.cos(azimuth),
          Math.sin(elevation),
          1,
        ]);
        const normal = [0, 1, 2, 3].map((r) =>
          [0, 1, 2, 3].map((c) => all.reduce((sum, { weight }, i) => sum + weight * h[i]![r]! * h[i]![c]!, 0)),
        );
        const right = [0, 1, 2, 3].map((r) =>
          all.reduce((sum, { weight, value }, i) => sum + weight * value * h[i]![r]!, 0),
        );
        const q = inverse(normal);
        // Nearly singular skies have no digits left to compare.
        if (!q.every((row, i) => row[i]! > 0 && row[i]! < LARGEST_VARIANCE)) return;
        compared++;
        const lower = Float64Array.from(normal.flat());
        const x = Float64Array.from(right);
        const inverted = new Float64Array(16);
        expect(factor(lower, 4)).toBe(true);
        substitute(lower, x, 4);
        invert(lower, 4, inverted);
        for (let r = 0; r < 4; r++) {
          const terms = right.map((value, c) => q[r]![c]! * value);
          const size = terms.reduce((sum, term) => sum + Math.abs(term), 1e-6);
          expect(Math.abs(x[r]! - terms.reduce((sum, term) => sum + term, 0)) / size).toBeLessThan(RELATIVE);
          for (let c = 0; c < 4; c++) {
            const scale = Math.sqrt(q[r]![r]! * q[c]![c]!);
            expect(Math.abs(inverted[r * 4 + c]! - q[r]![c]!) / scale).toBeLessThan(RELATIVE);
            expect(inverted[r * 4 + c]).toBe(inverted[c * 4 + r]);
          }
        }
      }),
      { numRuns: 500 },
    );
    expect(compared).toBeGreaterThan(300);
  });

  it('says so where the matrix is singular: two satellites at one place, or all in one plane', () => {
    const row = [0.6, 0.0, 0.8, 1];
    const singular = Float64Array.from(row.flatMap((a) => row.map((b) => 3 * a * b)));
    expect(factor(singular, 4)).toBe(false);
    expect(factor(Float64Array.of(1, 0, 0, 0), 2)).toBe(false);
    expect(factor(Float64Array.of(Number.NaN), 1)).toBe(false);
    expect(factor(Float64Array.of(Infinity), 1)).toBe(false);
  });

  it('measures what elimination has left of a pivot by what it was before', () => {
    expect(factor(Float64Array.of(1e-12), 1)).toBe(true);
    expect(factor(Float64Array.of(1e-12), 1, Float64Array.of(1))).toBe(false);
    expect(factor(Float64Array.of(1e-6), 1, Float64Array.of(1))).toBe(true);
  });

  it('one by one it is a square root and a division', () => {
    const lower = Float64Array.of(9);
    const x = Float64Array.of(6);
    const inverted = new Float64Array(1);
    expect(factor(lower, 1)).toBe(true);
    substitute(lower, x, 1);
    invert(lower, 1, inverted);
    expect([lower[0], x[0]]).toEqual([3, 6 / 9]);
    expect(Math.abs(inverted[0]! - 1 / 9)).toBeLessThan(Number.EPSILON);
  });
});
