import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { gpsFromUtc, parseUtc } from '../../src/base/time.js';
import type { StateRecord } from '../../src/sim/sky/broadcast-record.js';
import { referenceSatellites } from '../../src/sim/sky/constellations/index.js';
import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { StateOrbit } from '../../src/sim/sky/state-orbit.js';
import { SYSTEM_NAMES, type SystemName } from '../../src/sim/sky/system.js';
import { apartDeg, geometryOf, wrapped } from './orbit-geometry.js';

const NAVIGATION = new URL('../../../shared/data/nav/mixed-2020-177.rnx.gz', import.meta.url).pathname;
const START = gpsFromUtc(parseUtc('2024-03-10T06:00:00Z'));
const DAY_S = 86_400;
/** Rotation of the Earth relative to the stars (IS-GPS-200N, table 20-IV). */
const SIDEREAL_DAY_S = (2 * Math.PI) / 7.2921151467e-5;
/** What precession without tilt leaves in the plane, and BeiDou's rounded rotation of the Earth. */
const PLANE_DEG = 0.01;
const all = referenceSatellites(SYSTEM_NAMES, START);
const of = (name: SystemName, kind?: string): Satellite[] =>
  all.filter(({ system, orbitClass }) => system === name && (kind === undefined || orbitClass === kind));

const at = ({ orbit }: Satellite, sinceS: number): OrbitState => {
  const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  orbit.stateAt(sinceS, out);
  return out;
};
const longitudeDeg = ({ xM, yM }: OrbitState) => (Math.atan2(yM, xM) * 180) / Math.PI;
const latitudeDeg = ({ xM, yM, zM }: OrbitState) => (Math.atan2(zM, Math.hypot(xM, yM)) * 180) / Math.PI;

/** Angle at the Earth's centre between two places, deg. */
function betweenDeg(a: OrbitState, b: OrbitState): number {
  const dot = a.xM * b.xM + a.yM * b.yM + a.zM * b.zM;
  const cos = dot / (Math.hypot(a.xM, a.yM, a.zM) * Math.hypot(b.xM, b.yM, b.zM));
  return (Math.acos(Math.min(1, cos)) * 180) / Math.PI;
}

/**
 * Published parameters: GPS SPS Performance Standard, table 3.2-1; GLONASS ICD 5.1; Galileo orbital and technical
 * parameters; BeiDou and QZSS interface documents as quoted.
 */
const PUBLISHED = [
  ['gps', 'meo', 24, 26_559.7, 55],
  ['glonass', 'meo', 24, 25_508, 64.8],
  ['galileo', 'meo', 24, 29_599.8, 56],
  ['beidou', 'meo', 24, 27_906, 55],
  ['beidou', 'igso', 3, 42_164, 55],
  ['beidou', 'geo', 3, 42_164, 0],
  ['qzss', 'igso', 3, 42_165, 41],
  ['navic', 'igso', 4, 42_164, 29],
  ['navic', 'geo', 3, 42_164, 0],
] as const;
/** 'About' in the quotations: a kilometre; eccentric orbits swing by e a. */
const ABOUT_KM = 1;

describe('counts, semi-major axes and inclinations as published by the systems', () => {
  it.each(PUBLISHED)(
    '%s, %s: %d satellites at %d km, inclined by %d deg',
    (name, kind, count, axisKm, inclinationDeg) => {
      const satellites = of(name, kind);
      expect(satellites.length).toBe(count);
      const eccentricity = name === 'qzss' ? 0.075 : 0;
      for (const satellite of satellites) {
        for (let atS = 0; atS < DAY_S; atS += 5000) {
          const geometry = geometryOf(satellite, atS, 0);
          expect(Math.abs(geometry.radiusM / 1000 - axisKm)).toBeLessThan(ABOUT_KM + eccentricity * axisKm);
          expect(Math.abs(geometry.inclinationDeg - inclinationDeg)).toBeLessThan(PLANE_DEG);
        }
      }
    },
  );

  it.each(['glonass', 'galileo', 'beidou'] as const)(
    '%s: Walker 24/3/1: 120 deg, 45 deg in plane, 15 deg on',
    (name) => {
      const places = of(name, 'meo').map((satellite) => geometryOf(satellite, 0, 0));
      const first = places[0] as (typeof places)[number];
      const cells = places.map(({ nodeDeg, latitudeArgumentDeg }) => {
        const plane = Math.round(wrapped(nodeDeg - first.nodeDeg) / 120) % 3;
        expect(apartDeg(nodeDeg, first.nodeDeg + plane * 120)).toBeLessThan(PLANE_DEG);
        const inPlaneDeg = wrapped(latitudeArgumentDeg - first.latitudeArgumentDeg - plane * 15);
        const slot = Math.round(inPlaneDeg / 45) % 8;
        expect(apartDeg(inPlaneDeg, slot * 45)).toBeLessThan(PLANE_DEG);
        return plane * 8 + slot;
      });
      expect(new Set(cells).size).toBe(24);
    },
  );

  it('geostationary satellites stand where quoted: BeiDou 80, 110.5, 140; NavIC 32.5, 83, 129.5; SBAS by PRN', () => {
    const stand = (name: SystemName) => of(name, 'geo').map((s) => [s.number, longitudeDeg(at(s, 40_000))] as const);
    const longitudes = (name: SystemName) => stand(name).map(([, deg]) => Math.round(deg * 1e6) / 1e6);
    expect(longitudes('beidou').sort((a, b) => a - b)).toEqual([80, 110.5, 140]);
    expect(longitudes('navic').sort((a, b) => a - b)).toEqual([32.5, 83, 129.5]);
    const byPrn = new Map(stand('sbas'));
    for (const [prn, deg] of [
      [123, 31.5],
      [136, 5],
      [131, -117],
      [148, -24.8],
    ] as const) {
      expect(apartDeg(byPrn.get(prn - 100) ?? 0, deg)).toBeLessThan(1e-6);
    }
    for (const satellite of all.filter(({ orbitClass }) => orbitClass === 'geo')) {
      expect(betweenDeg(at(satellite, 0), at(satellite, 30 * DAY_S)), satellite.id).toBeLessThan(1e-5);
    }
  });
});

describe('ground tracks', () => {
  /** Revolutions and sidereal days; the node moves, so that a track repeats a little before the day is over. */
  it.each([
    ['gps', 'meo', 1, 0.001],
    ['galileo', 'meo', 10, 0.01],
    ['beidou', 'meo', 7, 0.001],
    ['glonass', 'meo', 8, 0.01],
    ['beidou', 'igso', 1, 0.001],
    ['qzss', 'igso', 1, 0.001],
    ['navic', 'igso', 1, 0.001],
  ] as const)('%s, %s, repeat after %d sidereal days (as published), within %d deg', (name, kind, days, withinDeg) => {
    for (const satellite of of(name, kind)) {
      const before = at(satellite, 4000);
      // The node's drift in the meantime shortens the time by up to 10 s a day: the best match is looked for.
      let best = 180;
      for (let earlierS = 0; earlierS < 12 * days; earlierS += 0.02 * days) {
        const later = at(satellite, 4000 + days * SIDEREAL_DAY_S - earlierS);
        best = Math.min(best, betweenDeg(before, later));
      }
      expect(best, satellite.id).toBeLessThan(withinDeg);
    }
  });

  it('QZSS: each satellite is north of the equator for 13 h and more of a day, about 139 deg E (from memory)', () => {
    for (const satellite of of('qzss', 'igso')) {
      const places = Array.from({ length: 288 }, (_, i) => at(satellite, i * 300));
      expect(places.filter((place) => latitudeDeg(place) > 0).length).toBeGreaterThan(156);
      const middle = places.filter((place) => latitudeDeg(place) > 35).map(longitudeDeg);
      expect(Math.abs(middle.reduce((sum, deg) => sum + deg, 0) / middle.length - 139)).toBeLessThan(1);
    }
  });
});

describe('GLONASS reference orbits obey the equations of motion of the ICD (5.1, A.3.1.2)', () => {
  /** Over a quarter hour the 60 s steps of the method leave 0.2 mm. */
  const ONE_MILLIMETRE = 0.001;
  /** Over 8 days its error grows along the track. */
  const STEPS_ERROR_M = 5;

  it('a record integrated for 15 min either way ends within 1 mm; for 8 days, 17 revolutions, within 5 m', () => {
    for (const satellite of of('glonass')) {
      const record = satellite.broadcast.recordAt(1000) as StateRecord;
      const solved = new StateOrbit(record, START);
      const middleS = Math.round((record.toe.week - START.week) * 604_800 + record.toe.towS - START.towS);
      const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
      for (const awayS of [-900, -333, 60, 900]) {
        solved.stateAt(middleS + awayS, out);
        expect(apart(out, at(satellite, middleS + awayS)), satellite.id).toBeLessThan(ONE_MILLIMETRE);
      }
      if (satellite.number % 8 !== 1) continue;
      solved.stateAt(middleS + 8 * DAY_S, out);
      expect(apart(out, at(satellite, middleS + 8 * DAY_S))).toBeLessThan(STEPS_ERROR_M);
    }
  });

  it('GLONASS ICD 5.1, 3.3.1: draconic period 11 h 15 min 44 s, to a millisecond, over 8 days of integration', () => {
    const record = of('glonass')[0]?.broadcast.recordAt(0) as StateRecord;
    const solved = new StateOrbit(record, record.toe);
    const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
    const northwards: number[] = [];
    let before = 1;
    for (let tS = 0; tS < 8.1 * DAY_S; tS += 30) {
      solved.stateAt(tS, out);
      if (before < 0 && out.zM >= 0) northwards.push(tS - out.zM / out.vzMps);
      before = out.zM;
    }
    const revolutions = northwards.length - 1;
    const meanS = ((northwards.at(-1) as number) - (northwards[0] as number)) / revolutions;
    expect(revolutions).toBeGreaterThanOrEqual(16);
    expect(Math.abs(meanS - 40_544)).toBeLessThan(0.001);
  });

  it('30 days of all 24 satellites: no more memory than a few records, and the orbit goes on', () => {
    const satellites = referenceSatellites(['glonass'], START);
    const before = process.memoryUsage().heapUsed;
    for (let tS = 0; tS < 30 * DAY_S; tS += 300) {
      for (const satellite of satellites) {
        at(satellite, tS);
        satellite.broadcast.recordAt(tS);
      }
    }
    // Garbage that is not collected yet is in it.
    expect(process.memoryUsage().heapUsed - before).toBeLessThan(100e6);
  });
});

function apart(a: OrbitState, b: OrbitState): number {
  return Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM);
}

describe('broadcast messages of 2020-06-25 (RINEX navigation file of a European station)', () => {
  it.skipIf(!existsSync(NAVIGATION))(
    'mixed-2020-177.rnx.gz: GLONASS frequency numbers are those sent in each slot',
    () => {
      const lines = gunzipSync(readFileSync(NAVIGATION)).toString('latin1').split('\n');
      const sent = new Map<string, number>();
      for (const [i, line] of lines.entries()) {
        // Third line of a record, last column: y, its rates, and the frequency number.
        if (/^R\d\d 2020/.test(line))
          sent.set(line.slice(0, 3), Number((lines[i + 2] ?? '').slice(61, 80).replace('D', 'E')));
      }
      expect(sent.size).toBeGreaterThanOrEqual(20);
      const ours = new Map(of('glonass').map(({ id, frequencyNumber }) => [id, frequencyNumber]));
      for (const [id, number] of sent) expect([id, ours.get(id)]).toEqual([id, number]);
      const slots = [...ours.values()];
      for (let i = 0; i < 24; i++) if (i % 8 < 4) expect(slots[i]).toBe(slots[i + 4]);
    },
  );
});
