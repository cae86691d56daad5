import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG } from '../../src/base/constants.js';
import { mopsDelayM, mopsMapping, mopsZenithDelaysM } from '../../src/sim/signal/atmosphere/mops.js';
import { saastamoinenDelayM } from '../../src/sim/signal/atmosphere/saastamoinen.js';

const TABLE = new URL('../../../shared/data/tables/saastamoinen-cases.csv', import.meta.url).pathname;
const MICROMETRE_M = 1e-6;
/** The recomputed values are given to a tenth of a millimetre, the mapping to a hundredth. */
const HALF_TENTH_MM = 0.00005;
const HALF_HUNDREDTH = 0.005;

/** Latitude, height, elevation, relative humidity, delay: deg, m. */
const ASSERTED: ReadonlyArray<readonly [number, number, number, number, number]> = [
  [35, 100, 75, 0.5, 2.44799870144088],
  [35, 100, 3, 0.5, 45.1808916506163],
  [-80, 1000, 75, 0.5, 2.17295817298152],
];

function departureM([latitude, heightM, elevation, humidity, delayM]: readonly number[]): number {
  const rad = (deg: number | undefined) => (deg as number) * RAD_PER_DEG;
  const computed = saastamoinenDelayM(rad(latitude), heightM as number, rad(elevation), humidity as number);
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
    [28, 2.3178, 0.0616],
    [211, 2.3076, 0.1867],
  ])('RTCA DO-229 A.4.2.4 at 45 N, sea level, day %d: dry %d m, wet %d m (recomputed)', (day, dryM, wetM) => {
    const zenith = mopsZenithDelaysM(45 * RAD_PER_DEG, 0, day);
    expect(Math.abs(zenith.dryM - dryM)).toBeLessThan(HALF_TENTH_MM);
    expect(Math.abs(zenith.wetM - wetM)).toBeLessThan(HALF_TENTH_MM);
  });

  it.each([
    [5, 10.22],
    [10, 5.58],
    [30, 1.99],
  ])('RTCA DO-229 A.4.2.4: the mapping at %d deg is %d', (elevationDeg, mapping) => {
    expect(Math.abs(mopsMapping(Math.sin(elevationDeg * RAD_PER_DEG)) - mapping)).toBeLessThan(HALF_HUNDREDTH);
  });

  it('RTCA DO-229 A.4.2.4: the south has its seasons half a year later, and the tables are level outside', () => {
    expect(mopsZenithDelaysM(-45 * RAD_PER_DEG, 0, 211)).toEqual(mopsZenithDelaysM(45 * RAD_PER_DEG, 0, 28));
    expect(mopsZenithDelaysM(0, 0, 100)).toEqual(mopsZenithDelaysM(15 * RAD_PER_DEG, 0, 100));
    expect(mopsZenithDelaysM(Math.PI / 2, 0, 100)).toEqual(mopsZenithDelaysM(75 * RAD_PER_DEG, 0, 100));
  });

  it('the two models agree within what DO-229 gives as the error of its own', () => {
    for (const latitudeDeg of [30, 45, 60]) {
      for (const elevationDeg of [10, 30, 90]) {
        const [latitude, elevation] = [latitudeDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
        const sigmaM = 0.12 * mopsMapping(Math.sin(elevation));
        const apartM = mopsDelayM(latitude, 0, 120, elevation) - saastamoinenDelayM(latitude, 0, elevation);
        expect(Math.abs(apartM)).toBeLessThan(sigmaM);
      }
    }
  });
});
