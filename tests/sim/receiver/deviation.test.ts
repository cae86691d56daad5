import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { deviationOf } from '../../../src/sim/receiver/deviation.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';

const ROUNDING = 1e-9;
/** Of an orientation: near a circle the covariance hardly has one. */
const DEGREES = 1e-6;

/** A solution whose ellipse has these axes and this orientation. */
function ellipse(majorM: number, minorM: number, orientationDeg: number) {
  const angle = (orientationDeg * Math.PI) / 180;
  const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
  const eastM2 = (majorM * sin) ** 2 + (minorM * cos) ** 2;
  const northM2 = (majorM * cos) ** 2 + (minorM * sin) ** 2;
  const eastNorthM2 = (majorM ** 2 - minorM ** 2) * sin * cos;
  return {
    covariance: { eastM2, northM2, eastNorthM2, upM2: 9, eastUpM2: 0, northUpM2: 0 },
    sigma: { eastM: Math.sqrt(eastM2), northM: Math.sqrt(northM2), upM: 3 },
    rangeRmsM: 4,
  } satisfies Partial<Solution>;
}

describe('error ellipse', () => {
  it('has the axes and the orientation that the covariance was made from', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 90 }),
        fc.integer({ min: 100, max: 900 }),
        fc.nat({ max: 1799 }),
        (a, b, c) => {
          const [minorM, majorM, orientation] = [a / 10, b / 10 + a / 10, c / 10];
          const found = deviationOf(ellipse(majorM, minorM, orientation));
          expect(Math.abs(found.majorM - majorM)).toBeLessThan(ROUNDING * majorM);
          expect(Math.abs(found.minorM - minorM)).toBeLessThan(1e-6);
          const apart = Math.abs(((found.orientationDeg - orientation + 270) % 180) - 90);
          expect(apart).toBeLessThan(DEGREES);
          expect(found.orientationDeg).toBeGreaterThanOrEqual(0);
          expect(found.orientationDeg).toBeLessThan(180);
        },
      ),
    );
  });

  it('north, east, south-east to north-west, and a circle', () => {
    expect(deviationOf(ellipse(5, 2, 0)).orientationDeg).toBe(0);
    expect(Math.abs(deviationOf(ellipse(5, 2, 90)).orientationDeg - 90)).toBeLessThan(DEGREES);
    expect(Math.abs(deviationOf(ellipse(5, 2, 135)).orientationDeg - 135)).toBeLessThan(DEGREES);
    const circle = deviationOf(ellipse(3, 3, 0));
    expect([circle.majorM, circle.minorM, circle.orientationDeg]).toEqual([3, 3, 0]);
  });

  it('a line: the minor axis is nothing, and never not a number', () => {
    for (let deg = 0; deg < 180; deg++) {
      const { minorM, orientationDeg } = deviationOf(ellipse(5, 0, deg));
      expect(minorM).toBeLessThan(1e-6);
      expect(orientationDeg).toBeLessThan(180);
    }
    const { covariance, sigma } = ellipse(5, 1, 0);
    const slight = { ...covariance, eastNorthM2: -1e-300 };
    expect(deviationOf({ covariance: slight, sigma, rangeRmsM: 1 }).orientationDeg).toBeLessThan(180);
  });

  it('latitude is north, longitude east, altitude up or null; axes hold the same sum of squares', () => {
    const { covariance, sigma } = ellipse(6, 2, 20);
    const found = deviationOf({ covariance, sigma, rangeRmsM: 4 });
    expect(found).toMatchObject({ latitudeM: sigma.northM, longitudeM: sigma.eastM, altitudeM: 3, rangeRmsM: 4 });
    expect(found.latitudeM).toBeGreaterThan(found.longitudeM);
    expect(Math.abs(found.majorM ** 2 + found.minorM ** 2 - 40)).toBeLessThan(1e-9);
    const flat = deviationOf({ covariance, sigma: { ...sigma, upM: null }, rangeRmsM: 4 });
    expect(flat.altitudeM).toBeNull();
  });
});
