import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distanceM } from '../../src/statistics/distance-m.js';
import { localOffset } from '../../src/statistics/local-offset.js';
import { wrap180 } from '../../src/statistics/wrap180.js';

/** Rounding of latitudes and of Earth-centred metres. */
const ROUNDING_M = 1e-6;
const PLACE = fc.record({
  latitudeDeg: fc.double({ min: -90, max: 90, noNaN: true }),
  longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
});

describe('wrap180', () => {
  it.each([
    [0, 0],
    [180, -180],
    [-180, -180],
    [190, -170],
    [-190, 170],
    [720, 0],
    [359.5, -0.5],
    [-180 - 1e-13, 180 - 1e-13],
  ])('%d deg is %d deg', (angleDeg, expected) => {
    expect(wrap180(angleDeg)).toBeCloseTo(expected, 9);
  });

  it('stays in [-180, 180) and means the same direction', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (angleDeg) => {
        const wrapped = wrap180(angleDeg);
        expect(wrapped).toBeGreaterThanOrEqual(-180);
        expect(wrapped).toBeLessThan(180);
        expect(Math.abs(Math.sin(((angleDeg - wrapped) / 360) * Math.PI))).toBeLessThan(1e-9);
      }),
    );
  });
});

describe('local offset', () => {
  it('has east, north and up the right way round', () => {
    const from = { latitudeDeg: -33.9, longitudeDeg: 18.4, heightM: 20 };
    const east = localOffset(from, { ...from, longitudeDeg: 18.401 });
    const north = localOffset(from, { ...from, latitudeDeg: -33.899 });
    const up = localOffset(from, { ...from, heightM: 25 });
    expect([east.eastM > 92 && east.eastM < 93, Math.abs(east.northM) < 0.001]).toEqual([true, true]);
    expect([north.northM > 110.8 && north.northM < 111, Math.abs(north.eastM) < ROUNDING_M]).toEqual([true, true]);
    expect(up).toEqual({ eastM: 0, northM: 0, upM: 5 });
  });

  it('goes the short way over the date line', () => {
    const offset = localOffset(
      { latitudeDeg: 0, longitudeDeg: 179.9999, heightM: 0 },
      { latitudeDeg: 0, longitudeDeg: -179.9999, heightM: 0 },
    );
    expect(offset.eastM).toBeGreaterThan(22);
    expect(offset.eastM).toBeLessThan(22.5);
  });

  it('is as long as the distance, near and far, and the distance is the same both ways', () => {
    fc.assert(
      fc.property(PLACE, PLACE, (a, b) => {
        const { eastM, northM } = localOffset({ ...a, heightM: 7 }, { ...b, heightM: 900 });
        expect(Math.abs(Math.hypot(eastM, northM) - distanceM(a, b))).toBeLessThan(ROUNDING_M);
        expect(Math.abs(distanceM(a, b) - distanceM(b, a))).toBeLessThan(ROUNDING_M);
      }),
    );
  });
});
