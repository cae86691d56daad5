import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic, LocalFrame } from '../../../src/base/frames.js';
import { gpsFromUtc, parseUtc } from '../../../src/base/time.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { type AntennaFrame, Sky } from '../../../src/sim/sky/sky.js';
import { SYSTEM_NAMES } from '../../../src/sim/sky/system.js';
import { satelliteOf } from '../signal/sky-of.js';

const DEG = Math.PI / 180;
const START = gpsFromUtc(parseUtc('2026-06-01T12:00:00Z'));
const SATELLITES = referenceSatellites(SYSTEM_NAMES, START);
/** A central difference over a second leaves a twenty-fourth of the third derivative (1e-4 m/s3), 0.004 mm/s. */
const RATE_MPS = 2e-5;

interface Flight {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly northMps: number;
  readonly eastMps: number;
}

/** The antenna on a straight line in ECEF, which is nobody's way but has an exact velocity. */
function antennaAt({ latitudeDeg, longitudeDeg, northMps, eastMps }: Flight, tS: number): AntennaFrame {
  const from = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 1000 });
  const velocity = new LocalFrame(latitudeDeg, longitudeDeg).toEcef({ eastM: eastMps, northM: northMps, upM: 0 });
  const position = {
    xM: from.xM + velocity.xM * tS,
    yM: from.yM + velocity.yM * tS,
    zM: from.zM + velocity.zM * tS,
  };
  return { position, velocity, latitudeRad: latitudeDeg * DEG, longitudeRad: longitudeDeg * DEG };
}

const standing = (latitudeDeg: number, longitudeDeg: number) =>
  antennaAt({ latitudeDeg, longitudeDeg, northMps: 0, eastMps: 0 }, 0);

const shown = (sky: Sky) =>
  sky.views.map((view) => (view.isUp ? [view.satellite.id, view.rangeM, view.azimuthDeg, view.elevationDeg] : null));

function lookedAt(tS: number, antenna: AntennaFrame): Sky {
  const sky = new Sky(SATELLITES);
  sky.look(tS, antenna);
  return sky;
}

describe('the sky', () => {
  it('the range rate of every kind of orbit is the range’s derivative, for antennas that move at any speed', () => {
    fc.assert(
      fc.property(
        fc.record({
          latitudeDeg: fc.double({ min: -80, max: 80, noNaN: true }),
          longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
          northMps: fc.double({ min: -1000, max: 1000, noNaN: true }),
          eastMps: fc.double({ min: -1000, max: 1000, noNaN: true }),
        }),
        fc.integer({ min: 1, max: 86_400 }),
        (flight, tS) => {
          // Not across a segment of the interpolated orbits, where the acceleration steps.
          const atS = Math.floor(tS / 30) * 30 + 15;
          const [before, now, after] = [-0.5, 0, 0.5].map((byS) => lookedAt(atS + byS, antennaAt(flight, byS)));
          for (const [i, view] of now!.views.entries()) {
            const [first, last] = [before!.views[i]!, after!.views[i]!];
            if (!view.isUp || !first.isUp || !last.isUp) continue;
            const off = Math.abs(last.rangeM - first.rangeM - view.rangeRateMps);
            expect(off, view.satellite.id).toBeLessThan(RATE_MPS);
          }
        },
      ),
      { numRuns: 50 },
    );
  });

  it('is the same whatever was looked at before: an antenna that leaps over the Earth, and back in time', () => {
    const moments = fc.record({
      tS: fc.double({ min: 0, max: 20_000, noNaN: true }),
      latitudeDeg: fc.double({ min: -90, max: 90, noNaN: true }),
      longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(moments, { minLength: 2, maxLength: 6 }), (list) => {
        const sky = new Sky(SATELLITES);
        for (const { tS, latitudeDeg, longitudeDeg } of list) {
          const antenna = standing(latitudeDeg, longitudeDeg);
          sky.look(tS, antenna);
          expect(shown(sky)).toEqual(shown(lookedAt(tS, antenna)));
        }
      }),
      { numRuns: 50 },
    );
  });

  it('misses no satellite that rises: over a day, every five seconds, as a sky that is looked at but once', () => {
    const antenna = standing(48, 11);
    const sky = new Sky(SATELLITES);
    for (let tS = 0; tS < 86_400; tS += 5) {
      sky.look(tS, antenna);
      if (tS % 600 === 0) expect(shown(sky), `${tS}`).toEqual(shown(lookedAt(tS, antenna)));
    }
  });

  it('a satellite right overhead has an elevation, whatever rounding makes of it', () => {
    fc.assert(
      fc.property(fc.double({ min: -180, max: 180, noNaN: true }), (longitudeDeg) => {
        const [cos, sin] = [Math.cos(longitudeDeg * DEG), Math.sin(longitudeDeg * DEG)];
        const satellite: Satellite = {
          ...satelliteOf('S21'),
          orbit: {
            stateAt: (_tS, out) => {
              // Turned by what the Earth turns while the signal travels, so that it arrives from the zenith.
              const turn = 7.2921151467e-5 * 0.1193;
              out.xM = 4.2164e7 * (cos - sin * turn);
              out.yM = 4.2164e7 * (sin + cos * turn);
              out.zM = out.vxMps = out.vyMps = out.vzMps = 0;
            },
          },
          travelS: 0.1193,
        };
        const sky = new Sky([satellite]);
        sky.look(0, standing(0, longitudeDeg));
        const { elevationDeg, sinElevation } = sky.views[0]!;
        expect(elevationDeg).toBeGreaterThan(89.9);
        expect(elevationDeg).toBeLessThanOrEqual(90);
        expect(sinElevation).toBeLessThanOrEqual(1);
      }),
      { numRuns: 500 },
    );
  });
});
