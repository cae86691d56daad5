import { beforeAll, describe, expect, it } from 'vitest';
import { ecefFromGeodetic, LocalFrame } from '../../src/base/frames.js';
import { Solver } from '../../src/sim/receiver/solver.js';
import { anywhere, disturb, measured, stream } from '../sim/receiver/measured.js';
import { inverse } from './dop.js';

const DRAWS = 6000;
/** Statistics of so many draws lie within 4.5 of their standard deviations, but once in 150,000 times. */
const SIGMAS = 4.5;

/**
 * NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values of the chi-square distribution: upper
 * tails of 0.10 and 0.01, from memory; the median of two degrees is 2 ln 2, that of three 2.366 (from memory).
 */
const QUANTILES: Readonly<Record<number, ReadonlyArray<readonly [share: number, value: number]>>> = {
  2: [
    [0.5, 2 * Math.LN2],
    [0.9, 4.605],
    [0.99, 9.21],
  ],
  3: [
    [0.5, 2.366],
    [0.9, 6.251],
    [0.99, 11.345],
  ],
  10: [
    [0.9, 15.987],
    [0.95, 18.307],
    [0.99, 23.209],
  ],
};

interface Draws {
  readonly horizontal: number[];
  readonly spatial: number[];
  readonly residual: number[];
  /** With a held height. */
  readonly flat: number[];
}

/** The square of an error, by the inverse of its covariance. */
function normalised(error: readonly number[], covariance: readonly (readonly number[])[]): number {
  const q = inverse(covariance);
  return error.reduce((sum, a, i) => sum + a * error.reduce((inner, b, j) => inner + b * q[i]![j]!, 0), 0);
}

/** Skies anywhere, of two and three systems, errors of the standard deviations that the solver is told. */
function draw(): Draws {
  const random = stream('normalised');
  const solver = new Solver();
  const draws: Draws = { horizontal: [], spatial: [], residual: [], flat: [] };
  while (draws.horizontal.length < DRAWS) {
    const at = anywhere(random);
    const counts = draws.horizontal.length % 2 === 0 ? [8, 7] : [6, 5, 5];
    const clocksM = [100, -300, 45].slice(0, counts.length);
    const all = measured(random, { at, counts, clocksM });
    disturb(all, random);
    const solution = solver.solve(all, all.length, counts.length, null, null);
    const flat = solver.solve(all, all.length, counts.length, ecefFromGeodetic(at), at.heightM);
    if (solution === null || flat === null) throw new Error('no solution');
    const frame = new LocalFrame(at.latitudeDeg, at.longitudeDeg);
    const errorOf = ({ position }: typeof solution): [number, number, number] => {
      const true_ = ecefFromGeodetic(at);
      const { eastM, northM, upM } = frame.toEnu(
        position.xM - true_.xM,
        position.yM - true_.yM,
        position.zM - true_.zM,
      );
      return [eastM, northM, upM];
    };
    const { eastM2, northM2, eastNorthM2, upM2, eastUpM2, northUpM2 } = solution.covariance;
    const error = errorOf(solution);
    const two = [
      [eastM2, eastNorthM2],
      [eastNorthM2, northM2],
    ];
    const three = [
      [eastM2, eastNorthM2, eastUpM2 as number],
      [eastNorthM2, northM2, northUpM2 as number],
      [eastUpM2 as number, northUpM2 as number, upM2 as number],
    ];
    draws.horizontal.push(normalised(error.slice(0, 2), two));
    draws.spatial.push(normalised(error, three));
    // 15 - 5 and 16 - 6 degrees of freedom.
    draws.residual.push(solution.chiSquare);
    const held = flat.covariance;
    const heldTwo = [
      [held.eastM2, held.eastNorthM2],
      [held.eastNorthM2, held.northM2],
    ];
    draws.flat.push(normalised(errorOf(flat).slice(0, 2), heldTwo));
  }
  return draws;
}

const KINDS = [
  ['horizontal error by its covariance', 'horizontal', 2],
  ['horizontal error with the true height held', 'flat', 2],
  ['error in space by its covariance', 'spatial', 3],
  ['weighted sum of squared residuals', 'residual', 10],
] as const;

describe(`${DRAWS} draws of independent normal range errors, against the chi-square distribution`, () => {
  let draws: Draws;
  beforeAll(() => {
    draws = draw();
  });

  it.each(KINDS)('%s: mean and variance of (%s) %d degrees of freedom', (_, kind, degrees) => {
    const values = draws[kind];
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
    // Mean k, variance 2k; fourth central moment 12 k (k + 4).
    expect(Math.abs(mean - degrees)).toBeLessThan(SIGMAS * Math.sqrt((2 * degrees) / DRAWS));
    const spread = Math.sqrt((12 * degrees * (degrees + 4) - 4 * degrees ** 2) / DRAWS);
    expect(Math.abs(variance - 2 * degrees)).toBeLessThan(SIGMAS * spread);
  });

  it.each(KINDS)('%s: quantiles of (%s) %d degrees as NIST/SEMATECH prints them (from memory)', (_, kind, degrees) => {
    const values = draws[kind];
    for (const [share, quantile] of QUANTILES[degrees]!) {
      const below = values.filter((value) => value <= quantile).length / values.length;
      const spread = Math.sqrt((share * (1 - share)) / DRAWS);
      expect(Math.abs(below - share), `${share}`).toBeLessThan(SIGMAS * spread);
    }
  });
});
