import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG } from '../../src/base/constants.js';
import { klobucharObliquity, klobucharVerticalM } from '../../src/sim/signal/atmosphere/klobuchar.js';

const TABLE = new URL('../../../shared/data/tables/klobuchar-cases.csv', import.meta.url).pathname;
/** The cases are given with 14 digits: what is left is the order of the sums. */
const NANOMETRE_M = 1e-9;

/** time of week, latitude, longitude, azimuth, elevation, alpha 0 to 3, beta 0 to 3, delay: s, deg, m. */
type Case = readonly number[];

const ASSERTED: readonly Case[] = [
  [176400, 35, 140, 60, 75, 2e-8, -8e-9, -5e-8, 1e-7, 2e5, 2e5, -1e5, -1e6, 6.73590532099438],
  [176400, -80, -170, 60, 75, 2e-8, -8e-9, -5e-8, 1e-7, 2e5, 2e5, -1e5, -1e6, 3.56895382197387],
  [219600, 35, 140, 60, 75, 2e-8, -8e-9, -5e-8, 1e-7, 2e5, 2e5, -1e5, -1e6, 5.21796954585452],
  [176400, 35, 140, 190, 3, 2e-8, -8e-9, -5e-8, 1e-7, 2e5, 2e5, -1e5, -1e6, 21.6345415123632],
  [176400, 35, 140, 0, 90, 2e-8, -8e-9, -5e-8, 1e-7, 2e5, 2e5, -1e5, -1e6, 6.58339711400694],
];

function delayM([towS, latitude, longitude, azimuth, elevation, a0, a1, a2, a3, b0, b1, b2, b3]: Case): number {
  const rad = (deg: number | undefined) => (deg as number) * RAD_PER_DEG;
  const coefficients = { alpha: [a0, a1, a2, a3], beta: [b0, b1, b2, b3] } as unknown as Parameters<
    typeof klobucharVerticalM
  >[0];
  const [latitudeRad, longitudeRad, azimuthRad] = [rad(latitude), rad(longitude), rad(azimuth)];
  const elevationRad = rad(elevation);
  const verticalM = klobucharVerticalM(
    coefficients,
    latitudeRad,
    longitudeRad,
    azimuthRad,
    elevationRad,
    towS as number,
  );
  return verticalM * klobucharObliquity(elevationRad);
}

describe('ionosphere model of IS-GPS-200N, 20.3.3.5.2.5', () => {
  it.each(ASSERTED.map((values) => [values]))(
    'gives what the unit tests of RTKLIB assert (t_atmos.c): %j',
    (values) => {
      expect(Math.abs(delayM(values) - (values.at(-1) as number))).toBeLessThan(NANOMETRE_M);
    },
  );

  it.skipIf(!existsSync(TABLE))(
    'gives every case of the table of RTKLIB test cases and a published example (skipped where ../shared/data is not)',
    () => {
      const rows = readFileSync(TABLE, 'utf8')
        .split('\n')
        .filter((line) => /^\d{4}-/.test(line))
        .map((line) => line.split(',').slice(1).map(Number));
      expect(rows.length).toBeGreaterThanOrEqual(9);
      for (const row of rows) expect(Math.abs(delayM(row) - (row.at(-1) as number))).toBeLessThan(NANOMETRE_M);
    },
  );
});
