import { LodestubError } from '../../base/error.js';
import { type AlmanacEntry, checkEntries, checkRange } from './almanac-entry.js';

/** How many values each of a satellite's lines has. */
const VALUES = [1, 1, 1, 3, 3, 3, 1, 1] as const;
/** Inclinations are told as what they exceed this by, semicircles: 54 deg. */
const REFERENCE_INCLINATION = 0.3;

/** One line that is not blank. */
interface Line {
  readonly text: string;
  readonly path: string;
}

/**
 * Reads a SEM almanac: number of satellites and title; week and time of applicability; then eight lines a satellite.
 * Angles are in semicircles.
 * @param name for messages
 * @throws LodestubError `almanac.empty`, `almanac.line`, `almanac.range`, `almanac.incomplete`, `almanac.twice`
 * Source: US Coast Guard Navigation Center, "SEM almanac format" (ICD-GPS-870, appendix).
 */
export function parseSem(text: string, name: string): AlmanacEntry[] {
  const lines = text
    .split(/\r\n|\r|\n/)
    .map((line, index): Line => ({ text: line.trim(), path: `${name}, line ${index + 1}` }))
    .filter(({ text: line }) => line !== '');
  const [title, times, ...rest] = lines;
  const count = Number.parseInt(title?.text ?? '', 10);
  if (!(count > 0)) {
    throw new LodestubError({
      code: 'almanac.empty',
      path: name,
      expected: 'a SEM almanac: the number of satellites and a title in its first line',
      received: JSON.stringify((title?.text ?? '').slice(0, 60)),
    });
  }
  if (times === undefined || rest.length < count * VALUES.length) {
    throw new LodestubError({
      code: 'almanac.incomplete',
      path: name,
      expected: `${count} satellites of ${VALUES.length} lines`,
      received: `${rest.length} lines (is the file cut off?)`,
    });
  }
  if (rest.length > count * VALUES.length) {
    throw notALine(rest[count * VALUES.length] as Line, `the end of the file after ${count} satellites`);
  }
  const [week, toaS] = numbersOf(times, 2) as [number, number];
  checkRange('week', week, times.path);
  checkRange('toaS', toaS, times.path);
  const entries: AlmanacEntry[] = [];
  for (let i = 0; i < count; i++) {
    entries.push(entryOf(rest.slice(i * VALUES.length, (i + 1) * VALUES.length), week, toaS));
  }
  checkEntries(entries, name);
  return entries;
}

function entryOf(lines: readonly Line[], week: number, toaS: number): AlmanacEntry {
  const value = lines.map((line, i) => numbersOf(line, VALUES[i] as number));
  const at = (row: number, place: number) => value[row]?.[place] ?? Number.NaN;
  const entry: AlmanacEntry = {
    prn: at(0, 0),
    health: at(6, 0),
    eccentricity: at(3, 0),
    toaS,
    inclinationRad: (REFERENCE_INCLINATION + at(3, 1)) * Math.PI,
    nodeRateRadps: at(3, 2) * Math.PI,
    rootSemiMajor: at(4, 0),
    nodeRad: at(4, 1) * Math.PI,
    perigeeRad: at(4, 2) * Math.PI,
    meanAnomalyRad: at(5, 0) * Math.PI,
    af0S: at(5, 1),
    af1: at(5, 2),
    week,
  };
  const path = (lines[0] as Line).path;
  for (const field of Object.keys(entry) as (keyof AlmanacEntry)[]) {
    checkRange(field, entry[field], `${path}, satellite ${entry.prn}, ${field}`);
  }
  return entry;
}

function numbersOf(line: Line, count: number): number[] {
  const values = line.text.split(/\s+/).map(Number);
  if (values.length !== count || !values.every(Number.isFinite)) {
    throw notALine(line, count === 1 ? 'one number' : `${count} numbers`);
  }
  return values;
}

function notALine({ path, text }: Line, what: string): LodestubError {
  return new LodestubError({
    code: 'almanac.line',
    path,
    expected: `${what}, as a SEM almanac has there`,
    received: JSON.stringify(text.slice(0, 60)),
  });
}
