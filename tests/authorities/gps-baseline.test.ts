import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../src/base/frames.js';
import { addSeconds, gpsFromUtc, parseUtc } from '../../src/base/time.js';
import { referenceSatellites } from '../../src/sim/sky/constellations/index.js';
import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { Sky } from '../../src/sim/sky/sky.js';
import { dopOf } from './dop.js';
import { apartDeg, type Geometry, geometryOf as geometryIn, wrapped } from './orbit-geometry.js';

const TABLE = new URL('../../../shared/data/tables/gps-baseline24.csv', import.meta.url).pathname;
const DEG = Math.PI / 180;
/** The table's last digit. */
const PRINTED_DEG = 0.001;
/** GPS SPS Performance Standard, table 3.2-1 and its notes. */
const EPOCH = gpsFromUtc(parseUtc('1993-07-01T00:00:00Z'));
const GREENWICH_DEG = (18 + 36 / 60 + 14.4 / 3600) * 15;
const SEMI_MAJOR_M = 26_559_700;
const INCLINATION_DEG = 55;
const NODE_RATE_DEGPS = -4.4874e-7;
const EARTH_RATE_RADPS = 7.2921151467e-5;
const GM_M3PS2 = 3.986005e14;
const TODAY = gpsFromUtc(parseUtc('2026-06-01T12:00:00Z'));
/** One turn of the Earth relative to the nodes: ground tracks repeat after it. */
const NODAL_DAY_S = (2 * Math.PI) / (EARTH_RATE_RADPS - NODE_RATE_DEGPS * DEG);

/**
 * GPS SPS Performance Standard, table 3.2-1: right ascension of the node and argument of latitude, deg,
 * for four slots.
 */
const QUOTED: ReadonlyArray<readonly [slot: string, nodeDeg: number, latitudeArgumentDeg: number]> = [
  ['A1', 272.847, 268.126],
  ['B3', 332.847, 309.976],
  ['D1', 92.847, 135.226],
  ['F4', 212.847, 135.346],
];

const geometryOf = (satellite: Satellite, tS: number, greenwichDeg: number): Geometry =>
  geometryIn(satellite, tS, greenwichDeg, NODE_RATE_DEGPS * DEG);

/** How many of our satellites stand in the slot. */
function standIn(all: readonly Geometry[], nodeDeg: number, latitudeArgumentDeg: number): number {
  return all.filter(
    (at) =>
      apartDeg(at.nodeDeg, nodeDeg) < PRINTED_DEG &&
      apartDeg(at.latitudeArgumentDeg, latitudeArgumentDeg) < PRINTED_DEG,
  ).length;
}

describe('GPS SPS Performance Standard, table 3.2-1 (baseline 24-slot constellation)', () => {
  const atEpoch = referenceSatellites(['gps'], EPOCH).map((satellite) => geometryOf(satellite, 0, GREENWICH_DEG));

  it.each(QUOTED)('slot %s, quoted: node at %d deg, argument of latitude %d deg at the epoch', (_, node, argument) => {
    expect(standIn(atEpoch, node, argument)).toBe(1);
  });

  it.skipIf(!existsSync(TABLE))('gps-baseline24.csv: each of the 24 slots holds one satellite at the epoch', () => {
    const rows = readFileSync(TABLE, 'utf8')
      .split('\n')
      .filter((line) => /^[A-F][1-4],/.test(line))
      .map((line) => line.split(','));
    expect(rows.length).toBe(24);
    for (const [slot, node, argument] of rows) {
      expect(standIn(atEpoch, Number(node), Number(argument)), slot).toBe(1);
    }
  });

  it('semi-major axis and inclination are the table’s at any time; the orbit is a circle run at Kepler’s speed', () => {
    for (const start of [EPOCH, TODAY]) {
      for (const satellite of referenceSatellites(['gps'], start)) {
        for (const tS of [0, 10_000, 50_000]) {
          const { inclinationDeg, radiusM, speedMps } = geometryOf(satellite, tS, 0);
          expect(Math.abs(radiusM - SEMI_MAJOR_M)).toBeLessThan(0.001);
          expect(Math.abs(inclinationDeg - INCLINATION_DEG)).toBeLessThan(PRINTED_DEG);
          expect(Math.abs(speedMps / Math.sqrt(GM_M3PS2 / SEMI_MAJOR_M) - 1)).toBeLessThan(1e-4);
        }
      }
    }
  });
});

describe('GPS baseline constellation at another date', () => {
  const satellites = referenceSatellites(['gps'], TODAY);

  it('24 satellites, each with a number of its own, in six planes 60 deg apart with four each', () => {
    expect(new Set(satellites.map(({ id }) => id)).size).toBe(24);
    const first = geometryOf(satellites[0] as Satellite, 0, 0).nodeDeg;
    const places = satellites.map((satellite) => wrapped(geometryOf(satellite, 0, 0).nodeDeg - first + 30));
    for (let plane = 0; plane < 6; plane++) {
      const inPlane = places.filter((at) => Math.abs(at - 30 - plane * 60) < 0.01);
      expect(inPlane.length, `plane ${plane}`).toBe(4);
    }
  });

  it('argument of latitude between the satellites of a plane is the table’s, 33 years after its epoch', () => {
    const now = satellites.map((satellite) => geometryOf(satellite, 0, 0).latitudeArgumentDeg);
    const then = referenceSatellites(['gps'], EPOCH).map(
      (satellite) => geometryOf(satellite, 0, 0).latitudeArgumentDeg,
    );
    const moved = now.map((argument, i) => argument - (then[i] as number));
    for (const by of moved) expect(apartDeg(by, moved[0] as number)).toBeLessThan(0.01);
  });

  it('ground tracks repeat after two revolutions, a sidereal day, within 1 m', () => {
    for (const satellite of satellites) {
      const a: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
      const b = { ...a };
      satellite.orbit.stateAt(5000, a);
      satellite.orbit.stateAt(5000 + NODAL_DAY_S, b);
      expect(Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM)).toBeLessThan(1);
    }
  });

  it('the sky does not depend on when the scenario starts: the same instant, the same place', () => {
    const later = referenceSatellites(['gps'], addSeconds(TODAY, 3600));
    for (const [i, satellite] of satellites.entries()) {
      const a: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
      const b = { ...a };
      satellite.orbit.stateAt(3600, a);
      (later[i] as Satellite).orbit.stateAt(0, b);
      expect(Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM)).toBeLessThan(0.001);
    }
  });

  it('from memory, GPS SPS Performance Standard, 5 deg mask: PDOP of 6 or less for 98 % of the globe and the day', () => {
    const { share, fewest } = coverage(satellites);
    expect(fewest).toBeGreaterThanOrEqual(4);
    expect(share).toBeGreaterThan(0.98);
  });
});

/** PDOP over a grid of places of equal weight and a day. */
function coverage(satellites: readonly Satellite[]): { share: number; fewest: number } {
  const sky = new Sky(satellites);
  let [good, all, fewest] = [0, 0, 99];
  for (let sinLat = -0.95; sinLat < 1; sinLat += 0.1) {
    const latitudeRad = Math.asin(sinLat);
    for (let longitudeRad = -3; longitudeRad < 3; longitudeRad += 0.75) {
      const position = ecefFromGeodetic({
        latitudeDeg: latitudeRad / DEG,
        longitudeDeg: longitudeRad / DEG,
        heightM: 0,
      });
      const velocity = { xM: 0, yM: 0, zM: 0 };
      for (let tS = 0; tS < 86_400; tS += 1800) {
        sky.look(tS, { position, velocity, latitudeRad, longitudeRad });
        const up = sky.views.filter((view) => view.sinElevation > Math.sin(5 * DEG));
        fewest = Math.min(fewest, up.length);
        all++;
        if (dopOf(up.map(({ azimuthDeg, elevationDeg }) => [azimuthDeg, elevationDeg])).pdop <= 6) good++;
      }
    }
  }
  return { share: good / all, fewest };
}
