import { SECONDS_PER_WEEK } from '../../base/constants.js';
import { LodestubError } from '../../base/error.js';
import { addSeconds, type GpsTime, secondsBetween } from '../../base/time.js';
import type { AlmanacEntry } from './almanac-entry.js';
import type { KeplerRecord } from './broadcast-record.js';
import { evenSchedule } from './constellations/schedule.js';
import { ScheduledBroadcast } from './constellations/scheduled-broadcast.js';
import { InterpolatedOrbit } from './interpolated-orbit.js';
import { KeplerOrbit } from './kepler-orbit.js';
import { NO_HARMONICS, rereferenced } from './kepler-record.js';
import type { Satellite } from './orbit.js';
import { parseSem } from './sem.js';
import { satelliteId } from './system.js';
import { typicalTravelS } from './travel-time.js';
import { parseYuma } from './yuma.js';

/** A SEM almanac begins with the number of its satellites; a line of a YUMA almanac has a colon or stars. */
const SEM_TITLE = /^\s*\d+(?:\s[^:]*)?$/;

/**
 * Reads an almanac of GPS, YUMA or SEM, whichever it is.
 * @param name for messages
 * @throws LodestubError `almanac.empty`, `almanac.line`, `almanac.range`, `almanac.incomplete`, `almanac.twice`
 */
export function parseAlmanac(text: string, name: string): AlmanacEntry[] {
  const first = text.split(/\r\n|\r|\n/).find((line) => line.trim() !== '') ?? '';
  return SEM_TITLE.test(first) ? parseSem(text, name) : parseYuma(text, name);
}

/** An almanac further from the start than this is refused unless the scenario says `sky.shift`, s: 180 days. */
const OLDEST_S = 180 * 86_400;

/** Weeks that the broadcast number counts before it begins anew. */
const ROLLOVER_WEEKS = 1024;

/**
 * The sky of an almanac for a scenario that starts at `start`. A week below 1024 is taken as the one nearest to the
 * start, and those of further entries as nearest to the first entry's. With `shift` an almanac whose first entry is
 * over 180 days from the start is played as it was at its own date: all of it is moved to the start by the same number
 * of whole weeks, so that times of week stay. A nearer one is not moved.
 * @throws LodestubError `almanac.age` without `shift`, for an entry over 180 days from the start
 */
export function almanacSatellites(
  entries: readonly AlmanacEntry[],
  start: GpsTime,
  shift: boolean,
  name: string,
): Satellite[] {
  const [first] = entries;
  if (first === undefined) return [];
  const firstWeek = weekNear(first.week, start.week);
  const ageS = secondsBetween({ week: firstWeek, towS: first.toaS }, start);
  const shiftWeeks = shift && Math.abs(ageS) > OLDEST_S ? Math.round(ageS / SECONDS_PER_WEEK) : 0;
  return entries.map((entry) => {
    const week = weekNear(entry.week, firstWeek);
    const ownS = secondsBetween({ week, towS: entry.toaS }, start);
    if (!shift && Math.abs(ownS) > OLDEST_S) throw tooOld(ownS, week, name);
    return satelliteOf(entry, week - shiftWeeks, start);
  });
}

/** GPS renews what it broadcasts every two hours (IS-GPS-200N, table 20-XIII); here when it becomes the nearest. */
const RECORD_INTERVAL_S = 7200;
const SCHEDULE = evenSchedule(RECORD_INTERVAL_S, RECORD_INTERVAL_S / 2);
/** Issues of data up to 239 mean a fit interval of 4 h (IS-GPS-200N, 20.3.4.4). */
const ISSUES = 240;

/** The almanac's orbit as a record of ephemeris, with an issue of data of its own. */
function toldFor(record: KeplerRecord, toe: GpsTime, index: number): KeplerRecord {
  const issue = index % ISSUES;
  return {
    ...rereferenced(record, toe),
    sentAt: addSeconds(toe, -SCHEDULE.leadS),
    iode: issue,
    iodc: issue,
  };
}

function satelliteOf(entry: AlmanacEntry, week: number, start: GpsTime): Satellite {
  const record = recordOf(entry, week);
  const orbit = new KeplerOrbit(record, start);
  const status = record.isHealthy ? 'healthy' : 'unhealthy';
  return {
    id: record.id,
    system: 'gps',
    number: entry.prn,
    orbitClass: 'meo',
    frequencyNumber: 0,
    orbit: new InterpolatedOrbit(() => orbit),
    broadcast: new ScheduledBroadcast(start, SCHEDULE, (toe, index) => toldFor(record, toe, index)),
    statusAt: () => status,
    travelS: typicalTravelS(entry.rootSemiMajor ** 2),
  };
}

/**
 * An entry as a record at its own time of applicability: two-body motion and a precessing node (IS-GPS-200N,
 * 20.3.3.5.2.1).
 */
function recordOf(entry: AlmanacEntry, week: number): KeplerRecord {
  const toe = { week, towS: entry.toaS };
  return {
    kind: 'kepler',
    id: satelliteId('gps', entry.prn),
    system: 'gps',
    isHealthy: entry.health === 0,
    sentAt: toe,
    toc: toe,
    clock: { af0S: entry.af0S, af1: entry.af1, af2PerS: 0 },
    toe,
    rootSemiMajor: entry.rootSemiMajor,
    eccentricity: entry.eccentricity,
    inclinationRad: entry.inclinationRad,
    inclinationRateRadps: 0,
    nodeRad: entry.nodeRad,
    nodeRateRadps: entry.nodeRateRadps,
    perigeeRad: entry.perigeeRad,
    meanAnomalyRad: entry.meanAnomalyRad,
    meanMotionDeltaRadps: 0,
    ...NO_HARMONICS,
    iode: 0,
    iodc: 0,
    accuracyM: ACCURACY_M,
    healthBits: entry.health,
    dataSource: 0,
    fitHours: 4,
    groupDelaysS: [0, 0],
  };
}

/** An almanac does not tell it: that of user range accuracy index 0, m (IS-GPS-200N, 20.3.3.3.1.3). */
const ACCURACY_M = 2.4;

/** A week in full: one that may be modulo 1024 as the one nearest to `near`. */
function weekNear(week: number, near: number): number {
  return week < ROLLOVER_WEEKS ? week + ROLLOVER_WEEKS * Math.round((near - week) / ROLLOVER_WEEKS) : week;
}

function tooOld(referenceS: number, week: number, name: string): LodestubError {
  const days = Math.round(Math.abs(referenceS) / 86_400);
  return new LodestubError({
    code: 'almanac.age',
    path: name,
    expected: 'an almanac within 180 days of the scenario’s start',
    received: `GPS week ${week}, ${days} days ${referenceS < 0 ? 'before' : 'after'} it`,
    hint: 'Change start, take a nearer almanac, or set sky.shift: true to play the almanac’s sky at another date.',
  });
}
