import type { FieldFailure } from './failures/failure.js';
import { FAILURES_OF_FIX } from './failures/of-fix.js';
import { FAILURES_OF_LINE } from './failures/of-line.js';
import { FAILURES_OF_SATELLITES } from './failures/of-satellites.js';
import { FAILURES_OF_SENTENCES } from './failures/of-sentences.js';
import { FAILURES_OF_TIME } from './failures/of-time.js';

/**
 * The scenario that each failure's lines are put into: a plain receiver on a vehicle, in the open, that has its fix at
 * once. A line replaces the one of the same key.
 */
export const FAILURE_BASE: readonly string[] = [
  'lodestub: 1',
  'title: A minute and a half on the road',
  'seed: 5',
  'start: 2026-03-01T12:00:00Z',
  'duration: 90 s',
  "module: { version: '2.3' }",
  'receiver: { start: hot }',
  'route: [{ hold: 10 s, at: [47.1, 8.2, 430 m] }, { go: [47.1, 8.215], speed: 50 km/h, acceleration: 1 m/s2 }]',
];

/**
 * What breaks host software in the field, the worst first, each with how it comes about here. Source: collected from
 * the reports and tests of open-source host software.
 */
export const FIELD_FAILURES: readonly FieldFailure[] = [
  ...FAILURES_OF_FIX,
  ...FAILURES_OF_TIME,
  ...FAILURES_OF_LINE,
  ...FAILURES_OF_SENTENCES,
  ...FAILURES_OF_SATELLITES,
].sort((a, b) => (a.rank ?? Infinity) - (b.rank ?? Infinity));

/** The scenario in which a failure happens, YAML; without one: the base. */
export function scenarioOfFailure(failure: Pick<FieldFailure, 'lines'> | null): string {
  const own = failure?.lines ?? [];
  const keyOf = (line: string) => line.slice(0, line.indexOf(':'));
  const replaced = new Set(own.map(keyOf));
  return [...FAILURE_BASE.filter((line) => !replaced.has(keyOf(line))), ...own].map((line) => `${line}\n`).join('');
}
