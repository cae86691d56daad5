import { EARTH_ROTATION_RADPS, GM_GPS_M3PS2, SECONDS_PER_WEEK } from '../../base/constants.js';
import { LodestubError } from '../../base/error.js';
import { type GpsTime, secondsBetween } from '../../base/time.js';
import { KeplerOrbit } from './kepler-orbit.js';
import { type Satellite, satelliteId } from './orbit.js';

/** One satellite's entry of a YUMA almanac, in the file's own units. */
export interface YumaEntry {
  readonly prn: number;
  readonly health: number;
  readonly eccentricity: number;
  readonly toaS: number;
  readonly inclinationRad: number;
  readonly nodeRateRadps: number;
  readonly rootSemiMajor: number;
  readonly nodeRad: number;
  readonly perigeeRad: number;
  readonly meanAnomalyRad: number;
  readonly af0S: number;
  readonly af1: number;
  /** As in the file: usually modulo 1024. */
  readonly week: number;
}

/** How the lines of an entry begin, lower case without blanks (the format's producers differ in both). */
const FIELDS: ReadonlyArray<readonly [prefix: string, field: keyof YumaEntry]> = [
  ['id', 'prn'],
  ['health', 'health'],
  ['eccentricity', 'eccentricity'],
  ['timeofapplicability', 'toaS'],
  ['orbitalinclination', 'inclinationRad'],
  ['rateofrightascen', 'nodeRateRadps'],
  ['sqrt(a)', 'rootSemiMajor'],
  ['rightascenatweek', 'nodeRad'],
  ['argumentofperigee', 'perigeeRad'],
  ['meananom', 'meanAnomalyRad'],
  ['af0', 'af0S'],
  ['af1', 'af1'],
  ['week', 'week'],
];

/** Least and greatest plausible value; outside it the file is damaged. */
const RANGES: Readonly<Partial<Record<keyof YumaEntry, readonly [number, number]>>> = {
  prn: [1, 63],
  eccentricity: [0, 0.1],
  toaS: [0, SECONDS_PER_WEEK],
  inclinationRad: [0, Math.PI],
  rootSemiMajor: [4000, 7000],
  week: [0, 8191],
};

/**
 * Reads a YUMA almanac (US Coast Guard Navigation Center, "Definition of a YUMA almanac").
 * @param name for messages
 * @throws LodestubError `almanac.empty`, `almanac.line`, `almanac.range`, `almanac.incomplete`, `almanac.twice`
 */
export function parseYuma(text: string, name: string): YumaEntry[] {
  const entries: YumaEntry[] = [];
  let fields: Partial<Record<keyof YumaEntry, number>> | null = null;
  const finish = () => {
    if (fields !== null) entries.push(complete(fields, name));
    fields = null;
  };
  for (const [index, raw] of text.split(/\r\n|\r|\n/).entries()) {
    const line = raw.trim();
    if (line === '') continue;
    if (line.startsWith('*')) {
      finish();
      fields = {};
      continue;
    }
    if (fields === null) fields = {};
    const [field, value] = parseLine(line, `${name}, line ${index + 1}`);
    (fields as Partial<Record<keyof YumaEntry, number>>)[field] = value;
  }
  finish();
  if (entries.length === 0) {
    throw new LodestubError({
      code: 'almanac.empty',
      path: name,
      expected: 'a YUMA almanac: blocks of "ID:", "Health:", "Eccentricity:" and ten more lines',
      received: 'no block',
    });
  }
  const seen = new Set<number>();
  for (const { prn } of entries) {
    if (seen.has(prn)) {
      throw new LodestubError({ code: 'almanac.twice', path: name, summary: `satellite ${prn} stands there twice` });
    }
    seen.add(prn);
  }
  return entries;
}

function parseLine(line: string, path: string): readonly [keyof YumaEntry, number] {
  const colon = line.indexOf(':');
  const label = line.slice(0, Math.max(colon, 0)).toLowerCase().replace(/\s/g, '');
  const field = FIELDS.find(([prefix]) => label.startsWith(prefix))?.[1];
  const text = line.slice(colon + 1).trim();
  const value = Number(text);
  if (field === undefined || text === '' || !Number.isFinite(value)) {
    throw new LodestubError({
      code: 'almanac.line',
      path,
      expected: 'a line of a YUMA almanac such as "Health: 000"',
      received: JSON.stringify(line.slice(0, 60)),
    });
  }
  const range = RANGES[field];
  if (range !== undefined && (value < range[0] || value > range[1])) {
    throw new LodestubError({
      code: 'almanac.range',
      path: `${path}, ${line.slice(0, colon)}`,
      expected: `${range[0]} to ${range[1]}`,
      received: text,
    });
  }
  return [field, value];
}

function complete(fields: Partial<Record<keyof YumaEntry, number>>, name: string): YumaEntry {
  for (const [prefix, field] of FIELDS) {
    if (fields[field] === undefined) {
      throw new LodestubError({
        code: 'almanac.incomplete',
        path: `${name}, satellite ${fields.prn ?? '(no ID)'}`,
        expected: `a line "${prefix}: …"`,
        received: 'none (is the file cut off?)',
      });
    }
  }
  return fields as unknown as YumaEntry;
}

/** An almanac further from the start than this is refused unless the scenario says `sky.shift`, s: 180 days. */
const OLDEST_S = 180 * 86_400;

/** Weeks that the broadcast number counts before it begins anew. */
const ROLLOVER_WEEKS = 1024;

/**
 * The sky of a YUMA almanac for a scenario that starts at `start`. A week below 1024 is taken as the one nearest to the
 * start, and those of further entries as nearest to the first entry's. With `shift` an almanac whose first entry is
 * over 180 days from the start is played as it was at its own date: all of it is moved to the start by the same number
 * of whole weeks, so that times of week stay. A nearer one is not moved.
 * @throws LodestubError `almanac.age` without `shift`, for an entry over 180 days from the start
 */
export function yumaSatellites(
  entries: readonly YumaEntry[],
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
    const referenceS = ownS - shiftWeeks * SECONDS_PER_WEEK;
    const semiMajorM = entry.rootSemiMajor ** 2;
    return {
      id: satelliteId('gps', entry.prn),
      system: 'gps',
      number: entry.prn,
      healthy: entry.health === 0,
      travelS: 0.075,
      orbit: new KeplerOrbit(
        {
          semiMajorM,
          eccentricity: entry.eccentricity,
          inclinationRad: entry.inclinationRad,
          // Right ascension is counted from the week's start: the node's longitude at toa follows (table 20-IV).
          nodeLongitudeRad: entry.nodeRad - EARTH_ROTATION_RADPS * entry.toaS,
          nodeRateRadps: entry.nodeRateRadps,
          perigeeRad: entry.perigeeRad,
          meanAnomalyRad: entry.meanAnomalyRad,
          meanMotionRadps: Math.sqrt(GM_GPS_M3PS2 / semiMajorM ** 3),
        },
        referenceS,
      ),
    };
  });
}

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
