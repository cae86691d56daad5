import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { geoidSeparationM } from '../../src/sim/geoid.js';

const TABLE = new URL('../../../shared/data/tables/egm96-points.csv', import.meta.url).pathname;
/** Bilinear interpolation in the 15-minute grid against NGA's spline through the same grid. */
const INTERPOLATION_M = 0.06;
/** The grid's own values are printed to the millimetre; the library stores centimetres. */
const SAME_METHOD_M = 0.011;

/** NGA (NIMA), EGM96 readme, sample output OUTINTPT.DAT: latitude, east longitude, deg, undulation, m. */
const NGA: ReadonlyArray<readonly [latitudeDeg: number, longitudeDeg: number, undulationM: number]> = [
  [38.628155, 269.779155, -31.628],
  [-14.621217, 305.021114, -2.969],
  [46.874319, 102.448729, -43.575],
  [-23.617446, 133.874712, 15.871],
  [38.625473, 359.9995, 50.066],
  [-0.466744, 0.0023, 17.329],
];

describe('EGM96 geoid: NGA’s published sample points', () => {
  it.each(NGA)(
    '%d N %d E: %d m, within 0.06 m, by either way of counting longitude',
    (latitudeDeg, eastDeg, undulationM) => {
      for (const longitudeDeg of [eastDeg, eastDeg > 180 ? eastDeg - 360 : eastDeg]) {
        expect(Math.abs(geoidSeparationM(latitudeDeg, longitudeDeg) - undulationM)).toBeLessThan(INTERPOLATION_M);
      }
    },
  );

  it.skipIf(!existsSync(TABLE))('egm96-points.csv: our own bilinear value of each point, within 1 cm', () => {
    const rows = readFileSync(TABLE, 'utf8')
      .split('\n')
      .filter((line) => /^-?\d/.test(line))
      .map((line) => line.split(',').map(Number) as [number, number, number, number]);
    expect(rows.length).toBe(6);
    for (const [latitudeDeg, longitudeDeg, , bilinearM] of rows) {
      expect(Math.abs(geoidSeparationM(latitudeDeg, longitudeDeg) - bilinearM)).toBeLessThan(SAME_METHOD_M);
    }
  });

  it('is defined and continuous at the poles and the antimeridian', () => {
    for (const latitudeDeg of [90, -90]) {
      const around = [-180, -90, 0, 90, 180].map((longitudeDeg) => geoidSeparationM(latitudeDeg, longitudeDeg));
      for (const value of around) expect(Math.abs(value - (around[0] as number))).toBeLessThan(SAME_METHOD_M);
    }
    for (let latitudeDeg = -85; latitudeDeg <= 85; latitudeDeg += 17) {
      const [west, east] = [geoidSeparationM(latitudeDeg, 180), geoidSeparationM(latitudeDeg, -180)];
      expect(Math.abs(west - east)).toBeLessThan(SAME_METHOD_M);
      expect(Math.abs(geoidSeparationM(latitudeDeg, 179.9999) - geoidSeparationM(latitudeDeg, -179.9999))).toBeLessThan(
        0.01,
      );
    }
  });
});
