import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import { Solver } from '../../../src/sim/receiver/solver.js';
import { between, case47, cases, covarianceOf, isGood, near, noisy, PLACE, rowsOf } from './skies.js';

/** Two ways to invert the same matrix, taken within half a metre of each other, some 1e-8 of the distances. */
const ALIKE = 1e-6;

/** Errors of a hundred metres at most, seen from directions that are 5e-6 off, and their squares over distances. */
const LINEAR_M = 2e-3;
const LINEAR = 1e-3;

describe('against the full normal matrix with a column a clock, inverted by Gauss-Jordan elimination', () => {
  it('covariance and its roots, DOP, the mean range error: 3D and with a held height', () => {
    const solver = new Solver();
    fc.assert(
      fc.property(cases, fc.boolean(), (one, isFlat) => {
        if (!isGood(one)) return;
        const { all, at, columns } = one;
        const found = solver.solve(all, all.length, columns, near(at), isFlat ? at.heightM : null) as Solution;
        // At a pole, east and north are those of the longitude that was found.
        const there = { ...one, at: found.geodetic };
        const q = covarianceOf(there, true, isFlat);
        const { eastM2, northM2, eastNorthM2, upM2, eastUpM2, northUpM2 } = found.covariance;
        const size = Math.max(q[0]![0]!, q[1]![1]!, isFlat ? 0 : q[2]![2]!);
        const pairs: [number | null, number][] = [
          [eastM2, q[0]![0]!],
          [northM2, q[1]![1]!],
          [eastNorthM2, q[0]![1]!],
        ];
        if (!isFlat) pairs.push([upM2, q[2]![2]!], [eastUpM2, q[0]![2]!], [northUpM2, q[1]![2]!]);
        for (const [mine, theirs] of pairs) expect(Math.abs((mine as number) - theirs) / size).toBeLessThan(ALIKE);
        expect(found.sigma).toEqual({
          eastM: Math.sqrt(eastM2),
          northM: Math.sqrt(northM2),
          upM: upM2 === null ? null : Math.sqrt(upM2),
        });
        const d = covarianceOf(there, false, isFlat);
        expect(Math.abs(found.hdop / Math.sqrt(d[0]![0]! + d[1]![1]!) - 1)).toBeLessThan(ALIKE);
        if (!isFlat) {
          expect(Math.abs((found.vdop as number) / Math.sqrt(d[2]![2]!) - 1)).toBeLessThan(ALIKE);
          expect(Math.abs((found.pdop as number) / Math.hypot(found.hdop, found.vdop as number) - 1)).toBeLessThan(
            ALIKE,
          );
        }
        const rms = Math.sqrt(all.reduce((sum, { sigmaM }) => sum + sigmaM * sigmaM, 0) / all.length);
        expect(Math.abs(found.rangeRmsM / rms - 1)).toBeLessThan(ALIKE);
      }),
      { numRuns: 600 },
    );
  });

  it('residuals are the errors projected, their variances those of the projection', () => {
    const solver = new Solver();
    fc.assert(
      fc.property(cases, fc.integer({ min: 0, max: 1e6 }), fc.boolean(), (one, seed, isFlat) => {
        if (!isGood(one)) return;
        const { at, all, columns } = one;
        const measured = noisy(all, seed);
        const count = all.length;
        const found = solver.solve(measured, count, columns, ecefFromGeodetic(at), isFlat ? at.heightM : null);
        const q = covarianceOf(one, true, isFlat);
        const rows = rowsOf(all, at, columns, isFlat);
        let square = 0;
        for (let i = 0; i < count; i++) {
          const errorM = measured[i]!.pseudorangeM - all[i]!.pseudorangeM;
          let projectedM = errorM;
          for (let k = 0; k < count; k++) {
            const sigmaM = all[k]!.sigmaM;
            const share = between(rows[i]!, q, rows[k]!) / (sigmaM * sigmaM);
            projectedM -= share * (measured[k]!.pseudorangeM - all[k]!.pseudorangeM);
          }
          // The matrix is of the true place; the solution's is up to a hundred metres off, 5e-6 of a distance.
          expect(Math.abs(solver.residualM(i) - projectedM)).toBeLessThan(LINEAR_M);
          const own = 1 - between(rows[i]!, q, rows[i]!) / all[i]!.sigmaM ** 2;
          expect(Math.abs(solver.redundancyOf(i) - own)).toBeLessThan(LINEAR);
          const weighted = (solver.residualM(i) / all[i]!.sigmaM) ** 2;
          expect(Math.abs(solver.weightedSquare(i) - weighted)).toBeLessThan(ALIKE * (1 + weighted));
          square += weighted;
        }
        expect(solver.residualsM(count)).toEqual(measured.map((_, i) => solver.residualM(i)));
        expect(Math.abs((found as Solution).chiSquare - square)).toBeLessThan(ALIKE * (1 + square));
      }),
      { numRuns: 250 },
    );
  });

  it('residuals are correlated as the projection says: what finds two errors at once goes by it', () => {
    const solver = new Solver();
    for (const [systems, isFlat] of [
      [['gps'], false],
      [['gps', 'galileo', 'beidou'], false],
      [['gps', 'glonass'], true],
    ] as const) {
      const one = case47(systems, 5400);
      const { all, at, columns } = one;
      expect(solver.solve(all, all.length, columns, ecefFromGeodetic(at), isFlat ? at.heightM : null)).not.toBeNull();
      const q = covarianceOf(one, true, isFlat);
      const rows = rowsOf(all, at, columns, isFlat);
      // Covariance of the residuals: W^-1 - H Q H'.
      const covariance = (i: number, j: number) => (i === j ? all[i]!.sigmaM ** 2 : 0) - between(rows[i]!, q, rows[j]!);
      for (let i = 0; i < all.length; i++) {
        for (let j = 0; j < i; j++) {
          const expected = covariance(i, j) / Math.sqrt(covariance(i, i) * covariance(j, j));
          expect(Math.abs(solver.correlationOf(i, j) - expected)).toBeLessThan(ALIKE);
          expect(Math.abs(solver.correlationOf(j, i) - expected)).toBeLessThan(ALIKE);
        }
      }
    }
  });

  it('a measurement that was left out: its difference from the rest, and that difference’s deviation', () => {
    const solver = new Solver();
    const one = case47(['gps', 'glonass', 'galileo'], 5400);
    const measured = noisy(one.all, 4);
    for (let out = 0; out < measured.length; out++) {
      const rest = { ...one, all: measured.filter((_, k) => k !== out) };
      const exact = { ...one, all: one.all.filter((_, k) => k !== out) };
      const count = rest.all.length;
      const found = solver.solve(rest.all, count, one.columns, ecefFromGeodetic(PLACE), null) as Solution;
      const left = measured[out]!;
      const { errorM, deviationM } = solver.compare(found, count, left, left.column);
      const q = covarianceOf(rest, true);
      const rows = rowsOf(exact.all, PLACE, one.columns);
      const own = rowsOf([left], PLACE, one.columns)[0]!;
      let expectedM = left.pseudorangeM - one.all[out]!.pseudorangeM;
      for (let k = 0; k < count; k++) {
        const weight = 1 / rest.all[k]!.sigmaM ** 2;
        const error = rest.all[k]!.pseudorangeM - exact.all[k]!.pseudorangeM;
        expectedM -= weight * error * between(own, q, rows[k]!);
      }
      expect(Math.abs(errorM - expectedM)).toBeLessThan(LINEAR_M);
      expect(Math.abs(deviationM / Math.sqrt(left.sigmaM ** 2 + between(own, q, own)) - 1)).toBeLessThan(LINEAR);
    }
  });
});
