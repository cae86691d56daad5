import { geodeticToEcf } from 'satellite.js';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic, geodeticFromEcef, LocalFrame } from '../../src/base/frames.js';

/** The note prints millimetres, and arc seconds to 1e-3 (3 cm). */
const MILLIMETRE_M = 0.001;
const PRINTED_ARC_SECOND_DEG = 0.0005 / 3600;
/** The library's semi-minor axis has the 0.1 mm as its last digit. */
const LIBRARY_M = 1e-4;
const RAD_PER_DEG = Math.PI / 180;

/** IOGP, Geomatics Guidance Note 7 part 2 (coordinate conversions), worked examples of EPSG methods 9602 and 9836. */
const POINT = { latitudeDeg: 53 + 48 / 60 + 33.82 / 3600, longitudeDeg: 2 + 7 / 60 + 46.38 / 3600, heightM: 73 };
const POINT_ECEF = { xM: 3_771_793.968, yM: 140_253.342, zM: 5_124_304.349 };
const ORIGIN = { latitudeDeg: 55, longitudeDeg: 5, heightM: 200 };
const ORIGIN_ECEF = { xM: 3_652_755.3058, yM: 319_574.6799, zM: 5_201_547.3536 };
const POINT_FROM_ORIGIN = { eastM: -189_013.869, northM: -128_642.04, upM: -4_220.171 };

describe('IOGP Guidance Note 7-2, worked examples on WGS 84', () => {
  it.each([
    [POINT, POINT_ECEF],
    [ORIGIN, ORIGIN_ECEF],
  ])('method 9602, geographic to geocentric and back: %o', (geodetic, ecef) => {
    const { xM, yM, zM } = ecefFromGeodetic(geodetic);
    expect(Math.hypot(xM - ecef.xM, yM - ecef.yM, zM - ecef.zM)).toBeLessThan(MILLIMETRE_M);
    const back = geodeticFromEcef(ecef);
    expect(Math.abs(back.latitudeDeg - geodetic.latitudeDeg)).toBeLessThan(PRINTED_ARC_SECOND_DEG);
    expect(Math.abs(back.longitudeDeg - geodetic.longitudeDeg)).toBeLessThan(PRINTED_ARC_SECOND_DEG);
    expect(Math.abs(back.heightM - geodetic.heightM)).toBeLessThan(MILLIMETRE_M);
  });

  it('method 9836, geocentric to topocentric', () => {
    const enu = new LocalFrame(ORIGIN.latitudeDeg, ORIGIN.longitudeDeg).toEnu(
      POINT_ECEF.xM - ORIGIN_ECEF.xM,
      POINT_ECEF.yM - ORIGIN_ECEF.yM,
      POINT_ECEF.zM - ORIGIN_ECEF.zM,
    );
    expect(Math.abs(enu.eastM - POINT_FROM_ORIGIN.eastM)).toBeLessThan(MILLIMETRE_M);
    expect(Math.abs(enu.northM - POINT_FROM_ORIGIN.northM)).toBeLessThan(MILLIMETRE_M);
    expect(Math.abs(enu.upM - POINT_FROM_ORIGIN.upM)).toBeLessThan(MILLIMETRE_M);
  });
});

describe('satellite.js geodeticToEcf (its own WGS-84 constants)', () => {
  it('the same point to 0.1 mm, every 7.5 deg of latitude and 15 deg of longitude, at four heights', () => {
    for (let latitudeDeg = -90; latitudeDeg <= 90; latitudeDeg += 7.5) {
      for (let longitudeDeg = -180; longitudeDeg <= 180; longitudeDeg += 15) {
        for (const heightM of [-400, 0, 9000, 20_200_000]) {
          const ours = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM });
          const theirs = geodeticToEcf({
            latitude: latitudeDeg * RAD_PER_DEG,
            longitude: longitudeDeg * RAD_PER_DEG,
            height: heightM / 1000,
          });
          const apartM = Math.hypot(ours.xM - theirs.x * 1000, ours.yM - theirs.y * 1000, ours.zM - theirs.z * 1000);
          expect(apartM).toBeLessThan(LIBRARY_M);
        }
      }
    }
  });
});
