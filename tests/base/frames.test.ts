import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic, type Geodetic, geodeticFromEcef, LocalFrame } from '../../src/base/frames.js';

/** Doubles of Earth-sized coordinates hold 1 nm; the conversion claims to add no more. */
const ROUND_TRIP_M = 5e-9;
/** 1 nm on the ground as an angle, doubled for the two roundings. */
const ROUND_TRIP_DEG = 4e-14;
/** A height carries the rounding of three products of Earth size. */
const HEIGHT_M = 5e-9;
/** Semi-minor axis of WGS-84, m (NGA.STND.0036, table 3.3). */
const SEMI_MINOR_M = 6_356_752.3142;
/** That value's last digit. */
const SEMI_MINOR_DIGIT_M = 1e-4;
const DEG_PER_RAD = 180 / Math.PI;

const place = fc.record({
  latitudeDeg: fc.oneof(
    fc.constantFrom(-90, -89.9999999999, -45, 0, 45, 89.9999999999, 90),
    fc.double({ min: -90, max: 90, noNaN: true }),
  ),
  longitudeDeg: fc.oneof(fc.constantFrom(-180, -90, 0, 90, 180), fc.double({ min: -180, max: 180, noNaN: true })),
  heightM: fc.oneof(fc.constantFrom(-400, 0, 9000, 2.02e7), fc.double({ min: -10_000, max: 1e7, noNaN: true })),
});

describe('geodetic and ECEF', () => {
  it('round-trips everywhere: in metres, and in degrees away from where longitude loses its meaning', () => {
    fc.assert(
      fc.property(place, (from: Geodetic) => {
        const ecef = ecefFromGeodetic(from);
        const back = geodeticFromEcef(ecef);
        const again = ecefFromGeodetic(back);
        const apartM = Math.hypot(again.xM - ecef.xM, again.yM - ecef.yM, again.zM - ecef.zM);
        expect(apartM).toBeLessThan(ROUND_TRIP_M * (1 + from.heightM / 6e6));
        expect(Math.abs(back.heightM - from.heightM)).toBeLessThan(HEIGHT_M * (1 + Math.abs(from.heightM) / 6e6));
        expect(Math.abs(back.latitudeDeg - from.latitudeDeg)).toBeLessThan(ROUND_TRIP_DEG * 2);
        expect(back.longitudeDeg).toBeGreaterThanOrEqual(-180);
        expect(back.longitudeDeg).toBeLessThanOrEqual(180);
      }),
      { numRuns: 2000 },
    );
  });

  it.each([1, -1])('on the axis itself (%i): latitude of the pole, a longitude, and the height above it', (sign) => {
    const pole = geodeticFromEcef({ xM: 0, yM: 0, zM: sign * (SEMI_MINOR_M + 100) });
    expect(pole.latitudeDeg).toBe(sign * 90);
    expect(pole.longitudeDeg).toBe(0);
    expect(Math.abs(pole.heightM - 100)).toBeLessThan(SEMI_MINOR_DIGIT_M);
  });

  it.each([1e-300, 1e-12, 1e-6, 1e-3])('%d m beside the axis nothing breaks', (offM) => {
    const { latitudeDeg, longitudeDeg, heightM } = geodeticFromEcef({ xM: 0, yM: -offM, zM: SEMI_MINOR_M });
    expect(longitudeDeg).toBe(-90);
    expect(Math.abs(90 - latitudeDeg - (offM / 6_399_594) * DEG_PER_RAD)).toBeLessThan(ROUND_TRIP_DEG);
    expect(Math.abs(heightM)).toBeLessThan(SEMI_MINOR_DIGIT_M);
  });

  it('height is along the normal: 1 m up moves the point 1 m', () => {
    fc.assert(
      fc.property(place, (from: Geodetic) => {
        const a = ecefFromGeodetic(from);
        const b = ecefFromGeodetic({ ...from, heightM: from.heightM + 1 });
        const up = new LocalFrame(from.latitudeDeg, from.longitudeDeg).toEnu(b.xM - a.xM, b.yM - a.yM, b.zM - a.zM);
        expect(Math.hypot(up.eastM, up.northM, up.upM - 1)).toBeLessThan(ROUND_TRIP_M * 4);
      }),
    );
  });
});

describe('local tangent plane', () => {
  const component = fc.double({ min: -1e7, max: 1e7, noNaN: true });

  it('round-trips, and keeps lengths', () => {
    fc.assert(
      fc.property(place, component, component, component, (at, eastM, northM, upM) => {
        const frame = new LocalFrame(at.latitudeDeg, at.longitudeDeg);
        const { xM, yM, zM } = frame.toEcef({ eastM, northM, upM });
        const back = frame.toEnu(xM, yM, zM);
        const apartM = Math.hypot(back.eastM - eastM, back.northM - northM, back.upM - upM);
        expect(apartM).toBeLessThan(ROUND_TRIP_M * 4);
        expect(Math.abs(Math.hypot(xM, yM, zM) - Math.hypot(eastM, northM, upM))).toBeLessThan(ROUND_TRIP_M * 4);
      }),
    );
  });

  it('at 0 N 0 E east is +y, north +z, up +x; at the pole up is +z and north points away from the meridian', () => {
    const origin = new LocalFrame(0, 0).toEnu(3, 1, 2);
    expect(origin).toEqual({ eastM: 1, northM: 2, upM: 3 });
    const pole = new LocalFrame(90, 0).toEnu(1, 2, 3);
    expect(Math.hypot(pole.eastM - 2, pole.northM + 1, pole.upM - 3)).toBeLessThan(ROUND_TRIP_M);
  });
});
