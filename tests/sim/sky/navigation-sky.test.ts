import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { addSeconds, type GpsTime, gpsFromUtc, parseUtc } from '../../../src/base/time.js';
import type { BroadcastRecord } from '../../../src/sim/sky/broadcast-record.js';
import { navigationSatellites } from '../../../src/sim/sky/navigation-sky.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import { GPS_RECORD, RECORDS } from './records.js';

/** Positions of 4e7 m told at another date, and the interpolation. */
const SAME_M = 1e-4;
const DAY_S = 86_400;
/** Thursday of week 2111, 00:00 GPS time. */
const DAY = GPS_RECORD.toe;
const SYSTEMS: readonly SystemName[] = ['gps', 'galileo', 'beidou', 'qzss', 'navic', 'glonass', 'sbas'];

/** A day of every kind of satellite: records every two hours, BeiDou's on its own. */
const RECORDS_OF_DAY: readonly BroadcastRecord[] = RECORDS.flatMap((record) =>
  Array.from({ length: 13 }, (_, i) => {
    const toe = addSeconds(DAY, i * 7200 + (record.system === 'beidou' ? 14 : 0));
    return { ...record, toe, toc: toe, sentAt: addSeconds(toe, -3600) };
  }),
);

function satellitesFor(
  start: GpsTime,
  { durationS = 600, shift = false, systems = SYSTEMS, records = RECORDS_OF_DAY } = {},
): Satellite[] {
  return navigationSatellites({ records }, { start, durationS, shift, name: 'brdc.rnx', systems });
}

function failure(make: () => unknown): LodestubError {
  try {
    make();
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('no error');
}

function placesM(satellites: readonly Satellite[], tS: number): Map<string, readonly [number, number, number]> {
  return new Map(
    satellites.map(({ id, orbit }) => {
      const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
      orbit.stateAt(tS, state);
      return [id, [state.xM, state.yM, state.zM]] as const;
    }),
  );
}

function expectSame(a: ReadonlyMap<string, readonly number[]>, b: ReadonlyMap<string, readonly number[]>): void {
  expect([...a.keys()]).toEqual([...b.keys()]);
  for (const [id, place] of a) {
    for (const [axis, value] of place.entries()) {
      expect(Math.abs(value - (b.get(id)?.[axis] ?? Number.NaN)), id).toBeLessThan(SAME_M);
    }
  }
}

describe('the sky of a navigation file', () => {
  it('has the satellites of the systems asked for, with their kinds of orbits and travel times', () => {
    const start = addSeconds(DAY, 12 * 3600);
    const satellites = satellitesFor(start);
    expect(satellites.map(({ id, number, orbitClass }) => [id, number, orbitClass])).toEqual([
      ['G05', 5, 'meo'],
      ['E18', 18, 'meo'],
      ['C30', 30, 'meo'],
      ['C06', 6, 'igso'],
      ['J01', 1, 'igso'],
      ['I03', 3, 'geo'],
      ['C05', 5, 'geo'],
    ]);
    for (const { id, travelS, orbitClass } of satellites) {
      // Light over 20,200 km overhead to 29,000 km at the horizon, 35,800 to 41,700 km of synchronous orbits.
      const [shortestS, longestS] = orbitClass === 'meo' ? [0.067, 0.097] : [0.119, 0.139];
      expect(travelS > shortestS && travelS < longestS, id).toBe(true);
    }
    expect(satellitesFor(start, { systems: ['gps', 'sbas'] }).map(({ id }) => id)).toEqual(['G05']);
  });

  it('without a record of these systems: which there are', () => {
    const error = failure(() => satellitesFor(DAY, { systems: ['glonass'] }));
    expect(error.code).toBe('navigation.empty');
    expect(error.message).toMatch(/expected records of glonass, got those of gps, galileo, beidou, qzss, navic/);
  });

  it('that does not cover the run: which times it covers in UTC, and the way out', () => {
    const start = gpsFromUtc(parseUtc('2024-03-01T10:00:00Z'));
    const error = failure(() => satellitesFor(start, { durationS: 3600 }));
    expect(error.code).toBe('navigation.coverage');
    expect(error.message).toContain('brdc.rnx');
    // 2020-06-25 00:00 GPS time is 18 s before midnight of UTC.
    expect(error.expected).toMatch(/2020-06-24T21:59:42Z to 2020-06-26T03:59:42Z/);
    expect(error.received).toBe('2024-03-01T10:00:00Z to 2024-03-01T11:00:00Z');
    expect(error.hint).toMatch(/sky\.shift: true/);
  });

  it('start and end must be covered; of a run without an end the start', () => {
    const lateS = DAY_S + 4 * 3600 - 1000;
    const start = addSeconds(DAY, lateS);
    expect(satellitesFor(start, { durationS: 1000 })).not.toEqual([]);
    expect(failure(() => satellitesFor(start, { durationS: 1001 })).code).toBe('navigation.coverage');
    expect(satellitesFor(start, { durationS: Number.POSITIVE_INFINITY })).not.toEqual([]);
  });

  it('a stray record far away makes no coverage between', () => {
    const toe = addSeconds(DAY, 20 * DAY_S);
    const records = [...RECORDS_OF_DAY, { ...GPS_RECORD, toe, toc: toe }];
    const error = failure(() => satellitesFor(addSeconds(DAY, 10 * DAY_S), { records }));
    expect(error.code).toBe('navigation.coverage');
    expect(error.expected).toMatch(/2020-06-26T03:59:42Z or 2020-07-14T21:59:42Z to 2020-07-15T01:59:42Z/);
  });

  it('with shift: the file’s sky at the same time of day, records that say so, health as it was', () => {
    const start = addSeconds(DAY, 5 * DAY_S + 10 * 3600 + 7);
    const shifted = satellitesFor(start, { shift: true, durationS: 7200 });
    const own = satellitesFor(addSeconds(DAY, 10 * 3600 + 7), { durationS: 7200 });
    for (const tS of [0, 3601, 7200]) expectSame(placesM(shifted, tS), placesM(own, tS));
    for (const [i, { broadcast, statusAt }] of shifted.entries()) {
      const [record, ownRecord] = [broadcast.recordAt(100), (own[i] as Satellite).broadcast.recordAt(100)];
      expect(record.toe).toEqual(addSeconds(ownRecord.toe, 5 * DAY_S));
      expect(record.sentAt).toEqual(addSeconds(ownRecord.sentAt, 5 * DAY_S));
      expect(statusAt(100)).toBe('healthy');
    }
  });

  it('a file that covers the run is not shifted; one by whole weeks where the weekday fits', () => {
    const start = addSeconds(DAY, 10 * 3600);
    expect(satellitesFor(start, { shift: true })[0]?.broadcast.recordAt(0).toe).toEqual(start);
    const weeksLater = addSeconds(start, 200 * 7 * DAY_S);
    const moved = satellitesFor(weeksLater, { shift: true })[0]?.broadcast.recordAt(0);
    expect(moved?.toe).toEqual(weeksLater);
    expect(moved?.kind === 'kepler' ? moved.nodeRad : 0).toBe(GPS_RECORD.nodeRad);
  });

  it('at an hour that occurs on two days of the file: that on which more satellites send', () => {
    // 23:00 of the day before is covered by one satellite only, which has an early record.
    const early = { ...GPS_RECORD, toe: addSeconds(DAY, -3600), toc: addSeconds(DAY, -3600) };
    const records = [early, ...RECORDS_OF_DAY];
    const satellites = satellitesFor(addSeconds(DAY, 3 * DAY_S - 3600), { shift: true, records, durationS: 1000 });
    expect(satellites.every(({ statusAt }) => statusAt(0) === 'healthy')).toBe(true);
  });

  it('a run that is longer than the file cannot be shifted into it', () => {
    const error = failure(() => satellitesFor(addSeconds(DAY, 30 * DAY_S), { shift: true, durationS: 2 * DAY_S }));
    expect(error.code).toBe('navigation.coverage');
    expect(error.hint).toMatch(/shorter/);
  });
});
