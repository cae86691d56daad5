import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import { PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import { addSeconds, type GpsTime, gpsFromUtc, parseUtc, secondsBetween, utcFromGps } from '../../../src/base/time.js';
import type { BroadcastRecord, KeplerRecord } from '../../../src/sim/sky/broadcast-record.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import { KeplerOrbit } from '../../../src/sim/sky/kepler-orbit.js';
import type { Orbit, OrbitState, Satellite } from '../../../src/sim/sky/orbit.js';
import { Sky } from '../../../src/sim/sky/sky.js';
import { StateOrbit } from '../../../src/sim/sky/state-orbit.js';
import { SYSTEM_NAMES, type SystemName } from '../../../src/sim/sky/system.js';

const ONE_MILLIMETRE = 0.001;
const DAY_S = 86_400;
/** A Friday evening: the weeks of all systems begin anew within the day after it. */
const START = gpsFromUtc(parseUtc('2026-06-05T21:17:03Z'));
/** Clocks are linear: what is left is rounding. */
const CLOCK_ROUNDING_S = 1e-15;

const stateAt = (orbit: Orbit, atS: number): OrbitState => {
  const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  orbit.stateAt(atS, out);
  return out;
};

const apartM = (a: OrbitState, b: OrbitState): number => Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM);

/** A number as RINEX prints it: one digit before the point and twelve behind. */
const printed = (value: number): number => Number(value.toExponential(12));

/** The record as it comes back from a navigation file. */
function fromFile(record: BroadcastRecord): BroadcastRecord {
  const inKm = ([x, y, z]: readonly [number, number, number]) =>
    [printed(x / 1000) * 1000, printed(y / 1000) * 1000, printed(z / 1000) * 1000] as const;
  if (record.kind === 'state') {
    return { ...record, positionM: inKm(record.positionM), velocityMps: inKm(record.velocityMps) };
  }
  const angles: Array<keyof KeplerRecord> = [
    'rootSemiMajor',
    'eccentricity',
    'inclinationRad',
    'nodeRad',
    'nodeRateRadps',
    'perigeeRad',
    'meanAnomalyRad',
    'meanMotionDeltaRadps',
  ];
  return { ...record, ...Object.fromEntries(angles.map((key) => [key, printed(record[key] as number)])) };
}

const solved = (record: BroadcastRecord, start: GpsTime): Orbit =>
  record.kind === 'kepler' ? new KeplerOrbit(record, start) : new StateOrbit(record, start);

describe('records of the reference constellations', () => {
  const satellites = referenceSatellites(SYSTEM_NAMES, START);

  it.each([...SYSTEM_NAMES])(
    '%s: as printed in a file, they give the same orbit within 1 mm while they are sent',
    (name) => {
      let worstM = 0;
      for (const { broadcast, orbit } of satellites.filter(({ system }) => system === name)) {
        for (const day of [0, 1, 2.3, 29.9]) {
          const record = broadcast.recordAt(day * DAY_S);
          const again = solved(fromFile(record), START);
          const sentS = secondsBetween(record.sentAt, START);
          const next = broadcast
            .records(sentS + 1, sentS + 7201)
            .find(({ toe }) => secondsBetween(toe, record.toe) > 0);
          const lengthS = secondsBetween(next?.sentAt ?? record.sentAt, record.sentAt);
          expect(lengthS).toBeGreaterThan(0);
          for (let part = 0; part <= 1; part += 0.125) {
            const atS = sentS + part * lengthS;
            worstM = Math.max(worstM, apartM(stateAt(orbit, atS), stateAt(again, atS)));
          }
        }
      }
      expect(worstM).toBeLessThan(ONE_MILLIMETRE);
    },
  );

  it('the record in force has been sent, the next one not; Galileo’s reference time has passed', () => {
    for (const { broadcast, system } of satellites) {
      for (let atS = 0; atS < 2 * DAY_S; atS += 1237) {
        const record = broadcast.recordAt(atS);
        const now = addSeconds(START, atS);
        expect(secondsBetween(now, record.sentAt)).toBeGreaterThanOrEqual(0);
        const next = broadcast.records(atS, atS + 7200).find(({ sentAt }) => secondsBetween(sentAt, record.sentAt) > 0);
        expect(secondsBetween(next?.sentAt ?? now, now)).toBeGreaterThan(0);
        if (system === 'galileo') expect(secondsBetween(now, record.toe)).toBeGreaterThanOrEqual(0);
      }
    }
  });

  it('records from one time to another ascend, begin before it, reach the end, and differ in their issue', () => {
    for (const { broadcast, id } of satellites) {
      const records = broadcast.records(0, DAY_S);
      const first = records[0] as BroadcastRecord;
      expect(secondsBetween(START, first.sentAt), id).toBeGreaterThan(0);
      expect(records).toContainEqual(broadcast.recordAt(0));
      expect(records.at(-1)).toEqual(broadcast.recordAt(DAY_S));
      for (const [i, record] of records.entries()) {
        const before = records[i - 1];
        if (before === undefined) continue;
        expect(secondsBetween(record.toe, before.toe)).toBeGreaterThan(0);
        if (record.kind === 'kepler') expect(record.iode).not.toBe((before as KeplerRecord).iode);
      }
    }
  });

  it('clocks stay within 0.3 ms and a few centimetres a minute, and run on evenly from record to record', () => {
    for (const { broadcast, id } of satellites) {
      const records = broadcast.records(0, DAY_S);
      for (const [i, record] of records.entries()) {
        const [biasS, drift] = clockOf(record);
        expect(Math.abs(biasS), id).toBeLessThan(3.2e-4);
        expect(Math.abs(drift), id).toBeLessThan(1e-11);
        const before = records[i - 1];
        if (before === undefined) continue;
        const [biasBeforeS, driftBefore] = clockOf(before);
        const carriedS = biasBeforeS + driftBefore * secondsBetween(record.toe, before.toe);
        expect(Math.abs(carriedS - biasS), id).toBeLessThan(CLOCK_ROUNDING_S);
      }
    }
  });

  it('GLONASS: reference times stand at 15 and 45 min of UTC, before and after a leap second', () => {
    const start = gpsFromUtc(parseUtc('2016-12-31T22:00:00Z'));
    for (const { broadcast } of referenceSatellites(['glonass'], start)) {
      const records = broadcast.records(0, 4 * 3600);
      expect(records.length).toBeGreaterThanOrEqual(9);
      for (const { toe } of records) {
        const { minute, second } = utcFromGps(toe);
        expect([minute % 30, second]).toEqual([15, 0]);
      }
      for (let atS = 0; atS < 4 * 3600; atS += 61) {
        const awayS = Math.abs(secondsBetween(broadcast.recordAt(atS).toe, addSeconds(start, atS)));
        expect(awayS).toBeLessThanOrEqual(901);
      }
    }
  });

  it('a satellite out of service says so and is where it was', () => {
    const [gps, glonass] = ['G09', 'R11'];
    const marked = referenceSatellites(SYSTEM_NAMES, START, PUBLISHED_LEAP_SECONDS, [gps, glonass]);
    expect(marked.filter((s) => s.statusAt(0) !== 'healthy').map(({ id }) => id)).toEqual([gps, glonass]);
    for (const { id, broadcast } of marked) {
      const isOut = id === gps || id === glonass;
      expect(broadcast.recordAt(100).isHealthy).toBe(!isOut);
      expect(broadcast.recordAt(100).healthBits !== 0).toBe(isOut);
    }
  });
});

function clockOf(record: BroadcastRecord): readonly [biasS: number, drift: number] {
  return record.kind === 'kepler' ? [record.clock.af0S, record.clock.af1] : [record.clockBiasS, record.clockDrift];
}

describe('reference constellations at any date', () => {
  it('1980 to 2100: every position and record is finite, and in the shell where satellites are', () => {
    const date = fc
      .integer({ min: 0, max: 6260 })
      .chain((week) => fc.double({ min: 0, max: 604_799, noNaN: true }).map((towS): GpsTime => ({ week, towS })));
    fc.assert(
      fc.property(date, fc.double({ min: -1, max: 3e6, noNaN: true }), (start, atS) => {
        for (const { orbit, broadcast } of referenceSatellites(SYSTEM_NAMES, start)) {
          const { xM, yM, zM, vxMps, vyMps, vzMps } = stateAt(orbit, atS);
          const radiusM = Math.hypot(xM, yM, zM);
          expect(radiusM).toBeGreaterThan(25_500_000);
          expect(radiusM).toBeLessThan(45_400_000);
          expect(Math.hypot(vxMps, vyMps, vzMps)).toBeLessThan(4000);
          const values = Object.values(broadcast.recordAt(atS)).flat();
          for (const value of values) if (typeof value === 'number') expect(value).toSatisfy(Number.isFinite);
        }
      }),
      { numRuns: 30 },
    );
  });

  it('the same instant has the same sky whenever a scenario starts, within 1 mm', () => {
    const starts = [0, 1, DAY_S * 30].map((earlierS) => addSeconds(START, -earlierS));
    const skies = starts.map((start) => referenceSatellites(SYSTEM_NAMES, start));
    const instant = addSeconds(START, 12_345);
    for (const [i, satellite] of (skies[0] as Satellite[]).entries()) {
      const at = stateAt(satellite.orbit, 12_345);
      const second = stateAt((skies[1] as Satellite[])[i]?.orbit as Orbit, 12_346);
      expect(apartM(at, second), satellite.id).toBeLessThan(ONE_MILLIMETRE);
      const old = (skies[2] as Satellite[])[i] as Satellite;
      const record = old.broadcast.recordAt(secondsBetween(instant, starts[2] as GpsTime));
      expect(apartM(at, stateAt(solved(record, START), 12_345)), satellite.id).toBeLessThan(ONE_MILLIMETRE);
    }
  });

  it('numbers are each satellite’s own, the same at any date, listed by system', () => {
    const ids = referenceSatellites(SYSTEM_NAMES, START).map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(referenceSatellites(SYSTEM_NAMES, { week: 2000, towS: 0 }).map(({ id }) => id)).toEqual(ids);
    expect(referenceSatellites(['sbas', 'gps'], START)[0]?.id).toBe('G09');
  });
});

describe('look of the sky', () => {
  const places: ReadonlyArray<readonly [latitudeDeg: number, longitudeDeg: number]> = [
    [48, 11],
    [-35, 149],
    [40, -100],
    [35, 139],
  ];
  /** What is above 5 deg at mid-latitudes with 24 satellites (common practice: 6 to 12), with one to spare each way. */
  const [FEWEST, MOST] = [5, 13];

  it.each(['gps', 'glonass', 'galileo'] as const)('%s: 6 to 12 satellites above 5 deg nearly always', (name) => {
    const { counts } = seen(name, places);
    expect(Math.min(...counts)).toBeGreaterThanOrEqual(FEWEST);
    expect(Math.max(...counts)).toBeLessThanOrEqual(MOST);
    expect(counts.filter((n) => n >= 6 && n <= 12).length / counts.length).toBeGreaterThan(0.95);
  });

  it('beidou: as many again from its high orbits in the far east, and QZSS always high over Japan', () => {
    const beidou = seen('beidou', [[35, 115]]).counts;
    expect(Math.min(...beidou)).toBeGreaterThanOrEqual(10);
    const { counts, highestDeg } = seen('qzss', [[35.7, 139.7]]);
    expect(Math.min(...counts)).toBeGreaterThanOrEqual(2);
    expect(Math.min(...highestDeg)).toBeGreaterThan(60);
  });
});

/** Satellites above 5 deg, and the highest one’s elevation, every half hour of a day at each place. */
function seen(name: SystemName, places: ReadonlyArray<readonly [number, number]>) {
  const sky = new Sky(referenceSatellites([name], START));
  const counts: number[] = [];
  const highestDeg: number[] = [];
  for (const [latitudeDeg, longitudeDeg] of places) {
    const antenna = {
      position: ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 0 }),
      velocity: { xM: 0, yM: 0, zM: 0 },
      latitudeRad: (latitudeDeg * Math.PI) / 180,
      longitudeRad: (longitudeDeg * Math.PI) / 180,
    };
    for (let atS = 0; atS < DAY_S; atS += 1800) {
      sky.look(atS, antenna);
      const elevations = sky.views.filter(({ isUp }) => isUp).map(({ elevationDeg }) => elevationDeg);
      counts.push(elevations.filter((elevation) => elevation > 5).length);
      highestDeg.push(Math.max(...elevations));
    }
  }
  return { counts, highestDeg };
}
