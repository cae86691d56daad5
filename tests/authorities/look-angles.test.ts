import { ecfToLookAngles } from 'satellite.js';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../src/base/frames.js';
import type { GpsTime } from '../../src/base/time.js';
import { almanacSatellites } from '../../src/sim/sky/almanac.js';
import { type SatelliteView, Sky } from '../../src/sim/sky/sky.js';
import { parseYuma } from '../../src/sim/sky/yuma.js';
import { almanacText, readAlmanac } from './almanac-2197.js';
import { type AlmanacElements, difference, earthAngle, inertialPosition, length, turnedAboutZ } from './table-20-iv.js';

const SPEED_OF_LIGHT_MPS = 299_792_458;
const DEG = Math.PI / 180;
const ANGLE_DEG = 0.001;
const MILLIMETRE_M = 0.001;
/** The library's semi-minor axis has the 0.1 mm as its last digit; kilometres in doubles hold more. */
const LIBRARY_RANGE_M = 0.001;
/** A central difference over a second leaves a twenty-fourth of the third derivative (1e-4 m/s3), 0.004 mm/s. */
const RANGE_RATE_MPS = 2e-5;

const START: GpsTime = { week: 2197, towS: 405_504 };
const AFTER_START_S = [0, 7_777, 43_210.5, 80_000];

const PLACES: ReadonlyArray<readonly [name: string, latitudeDeg: number, longitudeDeg: number, heightM: number]> = [
  ['northern city', 63.4305, 10.3951, 51],
  ['equator at 0 E', 0, 0, 0],
  ['antimeridian from the west', -17.7, 179.9999, 10],
  ['antimeridian from the east', -17.7, -179.9999, 10],
  ['on the antimeridian', 51.9, 180, 40],
  ['southern city', -33.8688, 151.2093, 20],
  ['north pole', 90, 0, 13],
  ['north pole by another meridian', 90, 120, 13],
  ['south pole', -90, 0, 2800],
  ['airliner', 40, -70, 11_000],
  ['below the sea’s level', 31.5, 35.5, -410],
];

function look(tS: number, latitudeDeg: number, longitudeDeg: number, heightM: number): readonly SatelliteView[] {
  const sky = new Sky(almanacSatellites(parseYuma(almanacText(), 'almanac'), START, false, 'almanac'));
  sky.look(tS, {
    position: ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM }),
    velocity: { xM: 0, yM: 0, zM: 0 },
    latitudeRad: latitudeDeg * DEG,
    longitudeRad: longitudeDeg * DEG,
  });
  return sky.views;
}

function elementsOf(all: readonly AlmanacElements[], { satellite }: SatelliteView): AlmanacElements {
  return all.find(({ prn }) => prn === satellite.number) as AlmanacElements;
}

/** Where the signal came from that arrives at `tS`: in an inertial frame the light goes straight. */
function inertialSource(
  elements: AlmanacElements,
  tS: number,
  latitudeDeg: number,
  longitudeDeg: number,
  heightM: number,
) {
  const sinceToaS = START.towS - elements.toaS + tS;
  const angle = earthAngle(elements, sinceToaS);
  const { xM, yM, zM } = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM });
  const antenna = turnedAboutZ([xM, yM, zM], angle);
  let travelS = 0;
  let source = antenna;
  for (let pass = 0; pass < 10; pass++) {
    source = inertialPosition(elements, sinceToaS - travelS);
    travelS = length(difference(source, antenna)) / SPEED_OF_LIGHT_MPS;
  }
  return { rangeM: travelS * SPEED_OF_LIGHT_MPS, earthFixed: turnedAboutZ(source, -angle) };
}

function apartDeg(a: number, b: number): number {
  return Math.abs(((a - b + 540) % 360) - 180);
}

describe('azimuth, elevation and range against satellite.js ecfToLookAngles', () => {
  it.each(PLACES)(
    '%s (%d, %d, %d m): within 0.001 deg and 1 mm of a light-time solution in an inertial frame',
    (...place) => {
      const [, latitudeDeg, longitudeDeg, heightM] = place;
      const almanac = readAlmanac(almanacText());
      let seen = 0;
      for (const tS of AFTER_START_S) {
        for (const view of look(tS, latitudeDeg, longitudeDeg, heightM)) {
          const { rangeM, earthFixed } = inertialSource(
            elementsOf(almanac, view),
            tS,
            latitudeDeg,
            longitudeDeg,
            heightM,
          );
          const [x, y, z] = earthFixed;
          const theirs = ecfToLookAngles(
            { latitude: latitudeDeg * DEG, longitude: longitudeDeg * DEG, height: heightM / 1000 },
            { x: x / 1000, y: y / 1000, z: z / 1000 },
          );
          const elevationDeg = theirs.elevation / DEG;
          expect(view.isUp).toBe(elevationDeg > 0);
          expect(Math.abs(view.rangeM - rangeM), `${view.satellite.id} range`).toBeLessThan(MILLIMETRE_M);
          expect(Math.abs(Math.asin(view.sinElevation) / DEG - elevationDeg)).toBeLessThan(ANGLE_DEG);
          if (!view.isUp) continue;
          seen++;
          expect(Math.abs(view.rangeM - theirs.rangeSat * 1000)).toBeLessThan(LIBRARY_RANGE_M);
          expect(Math.abs(view.elevationDeg - elevationDeg)).toBeLessThan(ANGLE_DEG);
          // Towards the zenith an azimuth loses its meaning.
          const lateral = Math.cos(theirs.elevation);
          expect(apartDeg(view.azimuthDeg, theirs.azimuth / DEG) * lateral).toBeLessThan(ANGLE_DEG);
          expect(view.azimuthDeg).toBeGreaterThanOrEqual(0);
          expect(view.azimuthDeg).toBeLessThan(360);
        }
      }
      expect(seen).toBeGreaterThan(0);
    },
  );
});

describe('the signal’s travel', () => {
  it('the satellite stands where it was when it transmitted, in the Earth-fixed frame of the reception', () => {
    const almanac = readAlmanac(almanacText());
    for (const view of look(0, 45, 100, 0)) {
      const { earthFixed } = inertialSource(elementsOf(almanac, view), 0, 45, 100, 0);
      const { xM, yM, zM } = view.state;
      expect(length(difference([xM, yM, zM], earthFixed))).toBeLessThan(MILLIMETRE_M);
    }
  });

  it('the rotation is worth tens of metres of range: leaving it out would show', () => {
    const almanac = readAlmanac(almanacText());
    const at = ecefFromGeodetic({ latitudeDeg: 0, longitudeDeg: 0, heightM: 0 });
    const bare = look(0, 0, 0, 0).map((view) => {
      const elements = elementsOf(almanac, view);
      const sinceToaS = START.towS - elements.toaS - view.rangeM / SPEED_OF_LIGHT_MPS;
      const unturned = turnedAboutZ(inertialPosition(elements, sinceToaS), -earthAngle(elements, sinceToaS));
      return Math.abs(length(difference(unturned, [at.xM, at.yM, at.zM])) - view.rangeM);
    });
    expect(Math.max(...bare)).toBeGreaterThan(15);
  });

  it('range rate is how the range changes', () => {
    for (const tS of AFTER_START_S) {
      const before = look(tS - 0.5, 63.4, 10.4, 50).map(({ rangeM }) => rangeM);
      const after = look(tS + 0.5, 63.4, 10.4, 50).map(({ rangeM }) => rangeM);
      for (const [i, view] of look(tS, 63.4, 10.4, 50).entries()) {
        if (!view.isUp) continue;
        expect(Math.abs((after[i] as number) - (before[i] as number) - view.rangeRateMps)).toBeLessThan(RANGE_RATE_MPS);
      }
    }
  });
});
