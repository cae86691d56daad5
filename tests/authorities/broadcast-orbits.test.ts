import { describe, expect, it } from 'vitest';
import { LeapSeconds } from '../../src/base/leap-seconds.js';
import { type GpsTime, gpsFromUtc, parseUtc, secondsBetween } from '../../src/base/time.js';
import type { BroadcastRecord } from '../../src/sim/sky/broadcast-record.js';
import { KeplerOrbit } from '../../src/sim/sky/kepler-orbit.js';
import { navigationSatellites } from '../../src/sim/sky/navigation-sky.js';
import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { parseNavigation } from '../../src/sim/sky/rinex/navigation.js';
import type { NavigationFile } from '../../src/sim/sky/rinex/navigation-file.js';
import { satelliteClock } from '../../src/sim/sky/satellite-clock.js';
import { StateOrbit } from '../../src/sim/sky/state-orbit.js';
import { SYSTEM_NAMES } from '../../src/sim/sky/system.js';
import { dataText, hasData, median, readSp3 } from './open-data.js';

const MIXED = 'nav/mixed-2020-177.rnx.gz';
const MIXED_PRECISE = 'orbit/precise-2020-177.sp3.gz';
const GPS = 'nav/gps-2010-182.rnx2n';
const GPS_PRECISE = 'orbit/precise-gps-2010-182.sp3';
const CASES = 'tables/broadcast-orbit-cases.json';

/** Median distances, m, that broadcast orbits of the time have: the part of it that is ours is the cases' 1 cm. */
const GPS_2020_M = 1.5;
const GALILEO_2020_M = 1.0;
const GLONASS_2020_M = 3.0;
/** In 2010 a third of the satellites were of Block IIA (from memory), and the ground's estimates poorer: 1.64 m. */
const GPS_2010_M = 2.0;
const CASE_M = 0.01;
/**
 * Where two neighbouring records meet, half of the handovers are smaller than this, m; the control segments' own error.
 */
const HANDOVER_M = 1.0;
/** Broadcast clocks of the time are off by less than this, half of them, m (relativity alone would be up to 10 m). */
const CLOCK_M = 0.6;
const LIGHT_MPS = 299_792_458;

const NO_LEAP_SECONDS = new LeapSeconds([]);

function gpsTime(text: string): GpsTime {
  return gpsFromUtc(parseUtc(text), NO_LEAP_SECONDS);
}

const MIXED_START = gpsTime('2020-06-25T00:00:00Z');
const GPS_START = gpsTime('2010-07-01T00:00:00Z');
/** To the last epoch of the precise file. */
const DURATION_S = 85_500;

const parsed = new Map<string, NavigationFile>();

function satellitesOf(name: string, start: GpsTime): Map<string, Satellite> {
  const file = parsed.get(name) ?? parseNavigation(dataText(name), name);
  parsed.set(name, file);
  const run = { start, durationS: DURATION_S, shift: false, name, systems: SYSTEM_NAMES };
  return new Map(navigationSatellites(file, run).map((satellite) => [satellite.id, satellite]));
}

const state: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };

function distanceM({ xM, yM, zM }: OrbitState, [x, y, z]: readonly [number, number, number]): number {
  return Math.hypot(xM - x, yM - y, zM - z);
}

/** Distances of broadcast and precise places of healthy satellites over the day, by the system's letter, m. */
function distances(satellites: Map<string, Satellite>, precise: string, start: GpsTime): Map<string, number[]> {
  const found = new Map<string, number[]>();
  for (const { id, time, placeM, isFlagged } of readSp3(dataText(precise))) {
    const satellite = satellites.get(id);
    const tS = secondsBetween(time, start);
    if (isFlagged || satellite?.statusAt(tS) !== 'healthy') continue;
    satellite.orbit.stateAt(tS, state);
    const letter = id.charAt(0);
    found.set(letter, [...(found.get(letter) ?? []), distanceM(state, placeM)]);
  }
  return found;
}

/**
 * Broadcast clocks against the precise ones, less each epoch's median, m. To a precise clock -2 r v / c2 is added
 * (IS-GPS-200N, 20.3.3.3.3.1, the other form of the relativistic effect).
 */
function clockDifferencesM(satellites: Map<string, Satellite>, letter: string): number[] {
  const byEpoch = new Map<number, number[]>();
  for (const { id, time, clockS, isFlagged } of readSp3(dataText(MIXED_PRECISE))) {
    const satellite = satellites.get(id);
    const tS = secondsBetween(time, MIXED_START);
    if (!id.startsWith(letter) || isFlagged || satellite?.statusAt(tS) !== 'healthy') continue;
    satellite.orbit.stateAt(tS, state);
    const { xM, yM, zM, vxMps, vyMps, vzMps } = state;
    const relativityS = (-2 * (xM * vxMps + yM * vyMps + zM * vzMps)) / LIGHT_MPS ** 2;
    const broadcastS = satelliteClock(satellite.broadcast.recordAt(tS), tS, MIXED_START).offsetS;
    byEpoch.set(tS, [...(byEpoch.get(tS) ?? []), (broadcastS - clockS - relativityS) * LIGHT_MPS]);
  }
  return [...byEpoch.values()].flatMap((all) => all.map((offM) => Math.abs(offM - median(all))));
}

describe('broadcast orbits against precise ones of the same day', () => {
  it.skipIf(!hasData(MIXED, MIXED_PRECISE))(
    'final orbits of CNES/GRG, 2020-06-25 (skipped without ../shared/data): GPS, Galileo, GLONASS, median over the day',
    () => {
      const found = distances(satellitesOf(MIXED, MIXED_START), MIXED_PRECISE, MIXED_START);
      for (const [letter, limitM] of [
        ['G', GPS_2020_M],
        ['E', GALILEO_2020_M],
        ['R', GLONASS_2020_M],
      ] as const) {
        const all = found.get(letter) ?? [];
        expect(all.length, letter).toBeGreaterThan(900);
        expect(median(all), letter).toBeLessThan(limitM);
      }
    },
  );

  it.skipIf(!hasData(MIXED, MIXED_PRECISE))(
    'final clocks of CNES/GRG, 2020-06-25 (skipped without ../shared/data): GPS and Galileo, relativity included',
    () => {
      const satellites = satellitesOf(MIXED, MIXED_START);
      for (const letter of ['G', 'E']) {
        const off = clockDifferencesM(satellites, letter);
        expect(off.length, letter).toBeGreaterThan(900);
        expect(median(off), letter).toBeLessThan(CLOCK_M);
      }
    },
  );

  it.skipIf(!hasData(GPS, GPS_PRECISE))(
    'IGS final orbits, 2010-07-01 (skipped without ../shared/data): GPS, but where the precise file flags a satellite',
    () => {
      const all = distances(satellitesOf(GPS, GPS_START), GPS_PRECISE, GPS_START).get('G') ?? [];
      expect(all.length).toBeGreaterThan(2500);
      expect(median(all)).toBeLessThan(GPS_2010_M);
    },
  );

  it.skipIf(!hasData(MIXED, CASES))(
    'broadcast-orbit-cases.json (skipped without ../shared/data): 30 places computed independently, within 1 cm',
    () => {
      const { cases } = JSON.parse(dataText(CASES));
      const satellites = satellitesOf(MIXED, MIXED_START);
      expect(cases.length).toBe(30);
      for (const { sat, gpst, toe_gpst_sow: toeS, broadcast_ecef_m: placeM } of cases) {
        const satellite = satellites.get(sat) as Satellite;
        const tS = secondsBetween(gpsTime(`${gpst.replace(' ', 'T')}Z`), MIXED_START);
        expect(satellite.broadcast.recordAt(tS).toe.towS, `${sat} ${gpst}`).toBe(toeS);
        satellite.orbit.stateAt(tS, state);
        expect(distanceM(state, placeM), `${sat} ${gpst}`).toBeLessThan(CASE_M);
      }
    },
  );
});

describe('real records of 2020-06-25, one station', () => {
  it.skipIf(!hasData(MIXED))(
    'neighbouring records agree where they meet, those of BeiDou’s three kinds of orbits too (skipped without data)',
    () => {
      const jumps = new Map<string, number[]>();
      for (const { system, orbitClass, broadcast } of satellitesOf(MIXED, MIXED_START).values()) {
        const records = broadcast.records(-DURATION_S, 2 * DURATION_S);
        for (const [i, later] of records.entries()) {
          const earlier = records[i - 1];
          if (earlier === undefined || secondsBetween(later.toe, earlier.toe) > 7200) continue;
          const key = `${system} ${orbitClass}`;
          jumps.set(key, [...(jumps.get(key) ?? []), jumpM(earlier, later)]);
        }
      }
      expect([...jumps.keys()].sort()).toEqual([
        'beidou geo',
        'beidou igso',
        'beidou meo',
        'galileo meo',
        'glonass meo',
        'gps meo',
        'qzss igso',
        'sbas geo',
      ]);
      for (const [key, all] of jumps) expect(median(all), key).toBeLessThan(HANDOVER_M);
    },
  );

  it.skipIf(!hasData(MIXED))('health and gaps show: E14 and SBAS unhealthy, G01 away at noon (needs data)', () => {
    const satellites = satellitesOf(MIXED, MIXED_START);
    const at = (id: string, hours: number) => satellites.get(id)?.statusAt(hours * 3600);
    expect([at('E14', 11.1), at('S23', 11.1)]).toEqual(['unhealthy', 'unhealthy']);
    expect([at('G01', 5), at('G01', 10), at('G01', 15)]).toEqual(['healthy', 'absent', 'healthy']);
  });

  it.skipIf(!hasData(MIXED))('header and records are read in full (skipped without ../shared/data)', () => {
    const { version, records, klobuchar, leapSeconds, skipped } = parseNavigation(dataText(MIXED), MIXED);
    expect({ version, leapSeconds, skipped }).toEqual({ version: 3.05, leapSeconds: 18, skipped: 0 });
    expect(klobuchar).toEqual({
      alpha: [4.6566e-9, 1.4901e-8, -5.9605e-8, -1.1921e-7],
      beta: [8.192e4, 9.8304e4, -6.5536e4, -5.2429e5],
    });
    const counts = new Map<string, number>();
    for (const { system } of records) counts.set(system, (counts.get(system) ?? 0) + 1);
    // Galileo: the 1602 records less those of F/NAV; counted in the file by their data source.
    expect(counts.get('gps')).toBe(257);
    expect(counts.get('glonass')).toBe(510);
    expect(counts.get('beidou')).toBe(357);
    expect(counts.get('qzss')).toBe(15);
    const isInav = (record: BroadcastRecord) => record.kind === 'kepler' && (record.dataSource & 0b101) !== 0;
    expect(records.filter(({ system }) => system === 'galileo').every(isInav)).toBe(true);
  });
});

function jumpM(earlier: BroadcastRecord, later: BroadcastRecord): number {
  const middleS = secondsBetween(later.toe, earlier.toe) / 2;
  const other = { ...state };
  for (const [record, out] of [
    [earlier, state],
    [later, other],
  ] as const) {
    const orbit = record.kind === 'kepler' ? new KeplerOrbit(record, earlier.toe) : new StateOrbit(record, earlier.toe);
    orbit.stateAt(middleS, out);
  }
  return distanceM(state, [other.xM, other.yM, other.zM]);
}
