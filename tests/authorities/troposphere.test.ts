import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG } from '../../src/base/constants.js';
import { mopsMapping } from '../../src/sim/signal/atmosphere/mops.js';
import { saastamoinenZenithM } from '../../src/sim/signal/atmosphere/saastamoinen.js';

const TABLE = new URL('../../../shared/data/tables/saastamoinen-cases.csv', import.meta.url).pathname;
const MICROMETRE_M = 1e-6;
/** The recomputed values are given to a hundredth. */
const HALF_HUNDREDTH = 0.005;

/** Latitude, height, elevation, relative humidity, delay: deg, m. */
const ASSERTED: ReadonlyArray<readonly [number, number, number, number, number]> = [
  [35, 100, 75, 0.5, 2.44799870144088],
  [35, 100, 3, 0.5, 45.1808916506163],
  [-80, 1000, 75, 0.5, 2.17295817298152],
];

function departureM([latitude, heightM, elevation, humidity, delayM]: readonly number[]): number {
  const rad = (deg: number | undefined) => (deg as number) * RAD_PER_DEG;
  const computed = saastamoinenZenithM(rad(latitude), heightM as number, humidity as number) / Math.sin(rad(elevation));
  return Math.abs(computed - (delayM as number));
}

describe('troposphere', () => {
  it.each(ASSERTED)(
    'Saastamoinen at %d deg, %d m, elevation %d deg, humidity %d is what the unit tests of RTKLIB assert (t_atmos.c)',
    (...row) => {
      expect(departureM(row)).toBeLessThan(MICROMETRE_M);
    },
  );

  it.skipIf(!existsSync(TABLE))(
    'Saastamoinen gives every case of the table of RTKLIB test cases (skipped where ../shared/data is not)',
    () => {
      const rows = readFileSync(TABLE, 'utf8')
        .split('\n')
        .filter((line) => /^-?\d/.test(line))
        .map((line) => line.split(',').map(Number));
      expect(rows.length).toBeGreaterThanOrEqual(3);
      for (const row of rows) expect(departureM(row)).toBeLessThan(MICROMETRE_M);
    },
  );

  it.each([
    [5, 10.22],
    [10, 5.58],
    [30, 1.99],
  ])('RTCA DO-229 A.4.2.4: the mapping at %d deg is %d', (elevationDeg, mapping) => {
    expect(Math.abs(mopsMapping(Math.sin(elevationDeg * RAD_PER_DEG)) - mapping)).toBeLessThan(HALF_HUNDREDTH);
  });
});
