import { suggest } from '../../base/nearest.js';
import type { ChoiceProblem } from '../../scenario/fields.js';
import { plainName, USUAL_NAMES } from './field-names.js';
import type { RawReports } from './reports-schema.js';

/** A key that does not go with the others, and what is wrong. */
export interface KeyProblem {
  readonly key: string;
  readonly params: ChoiceProblem;
}

const FORMATS_OF: Readonly<Record<string, readonly string[]>> = {
  pattern: ['text'],
  delimiter: ['csv'],
  columns: ['csv'],
  header: ['csv'],
  'no-fix': ['text', 'csv', 'json-lines', 'nmea'],
};

/** What is wrong with the keys of `reports:` together, each by itself being right. */
export function wrongTogether(raw: RawReports): KeyProblem[] {
  const found: KeyProblem[] = [];
  for (const [key, formats] of Object.entries(FORMATS_OF)) {
    if (raw[key as keyof RawReports] === undefined || formats.includes(raw.format)) continue;
    found.push({ key, params: { kind: 'one-of', expected: `${key} only beside format: ${formats.join(' or ')}` } });
  }
  if (raw.format === 'text') found.push(...wrongPatterns(raw));
  if (raw['decimal-comma'] && raw.format !== 'csv' && raw.format !== 'text') {
    const expected = 'decimal-comma only beside format: csv or text';
    found.push({ key: 'decimal-comma', params: { kind: 'one-of', expected } });
  }
  if (raw['decimal-comma'] && raw.delimiter === ',') {
    const params = { kind: 'range', expected: 'another character than the comma of decimal-comma' } as const;
    found.push({ key: 'delimiter', params });
  }
  return found;
}

function wrongPatterns({ pattern, fields }: RawReports): KeyProblem[] {
  if (pattern === undefined || pattern.length === 0) {
    const expected = 'what a line that is a report is like, such as pattern: ^pos (?<latitude>\\S+) (?<longitude>\\S+)';
    return [{ key: 'pattern', params: { kind: 'required', expected } }];
  }
  const own = Object.values(fields).flatMap((field) =>
    field !== undefined && field !== null && field.name !== null ? [field.name] : [],
  );
  const usual = Object.values(USUAL_NAMES).flat();
  const known = new Set([...own, ...usual].map(plainName));
  const groups = pattern.flatMap(({ source }) =>
    [...source.matchAll(/\(\?<([A-Za-z_$][\w$]*)>/g)].map(([, name]) => name as string),
  );
  const odd = groups.find((name) => !known.has(plainName(name)));
  if (groups.length > 0 && odd === undefined) return [];
  const expected = 'named groups that are fields';
  const hint = odd === undefined ? 'Write (?<latitude>\\S+).' : `${odd} is none. ${suggest(odd, [...own, ...usual])}`;
  return [{ key: 'pattern', params: { kind: 'type', expected, hint } }];
}
