import { LodestubError } from '../../base/error.js';
import { type AlmanacEntry, checkEntries, checkRange } from './almanac-entry.js';

/** How the lines of an entry begin, lower case without blanks (the format's producers differ in both). */
const FIELDS: ReadonlyArray<readonly [prefix: string, field: keyof AlmanacEntry]> = [
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

/**
 * Reads a YUMA almanac (US Coast Guard Navigation Center, "Definition of a YUMA almanac").
 * @param name for messages
 * @throws LodestubError `almanac.empty`, `almanac.line`, `almanac.range`, `almanac.incomplete`, `almanac.twice`
 */
export function parseYuma(text: string, name: string): AlmanacEntry[] {
  const entries: AlmanacEntry[] = [];
  let fields: Partial<Record<keyof AlmanacEntry, number>> | null = null;
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
    (fields as Partial<Record<keyof AlmanacEntry, number>>)[field] = value;
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
  checkEntries(entries, name);
  return entries;
}

function parseLine(line: string, path: string): readonly [keyof AlmanacEntry, number] {
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
  checkRange(field, value, `${path}, ${line.slice(0, colon)}`);
  return [field, value];
}

function complete(fields: Partial<Record<keyof AlmanacEntry, number>>, name: string): AlmanacEntry {
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
  return fields as unknown as AlmanacEntry;
}
