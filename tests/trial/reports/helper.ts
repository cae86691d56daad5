import { parse } from 'yaml';
import { LodestubError } from '../../../src/base/error.js';
import { readYaml } from '../../../src/scenario/document.js';
import { explain } from '../../../src/scenario/explain.js';
import { strict } from '../../../src/scenario/fields.js';
import { readerOf } from '../../../src/trial/reports/reader-of.js';
import type { ReadReport, ReportReader } from '../../../src/trial/reports/report-reader.js';
import { REPORTS_SCHEMA } from '../../../src/trial/reports/reports-schema.js';
import type { ReportsSettings } from '../../../src/trial/reports/reports-settings.js';

/** Simulated now of the tests, where nothing else is said. */
export const NOW_MS = Date.UTC(2022, 1, 18, 9, 30);

/** What a reader told, in order. */
export interface Told {
  readonly reports: ReadReport[];
  readonly bad: { readonly text: string; readonly why: string }[];
  readonly others: string[];
}

/** Settings from the YAML of `reports:`. */
export function settingsOf(yaml: string): ReportsSettings {
  return REPORTS_SCHEMA.parse(parse(yaml));
}

/** The message for a mistake in the YAML of `reports:`. */
export function mistakeIn(yaml: string): string {
  const document = readYaml(`reports:\n${yaml.replace(/^/gm, '  ')}\n`, 'trial.yaml', 'trial');
  const result = strict({ reports: REPORTS_SCHEMA }).safeParse(document.value);
  if (result.success) return '';
  const error = explain(document, result.error.issues, () => null);
  if (!(error instanceof LodestubError)) throw error;
  return error.message;
}

/** A reader, and what it tells. */
export function reading(yaml: string, nowMs = NOW_MS): Told & { readonly reader: ReportReader } {
  const told: Told = { reports: [], bad: [], others: [] };
  const take = {
    report: (read: ReadReport) => void told.reports.push(read),
    bad: (text: string, why: string) => void told.bad.push({ text, why }),
    other: (line: string) => void told.others.push(line),
  };
  return { ...told, reader: readerOf(settingsOf(yaml), take, { now: () => nowMs }) };
}

/** What is read of a whole text, cut at the places given. */
export function readAll(yaml: string, text: string, cuts: readonly number[] = [], nowMs = NOW_MS): Told {
  const { reader, reports, bad, others } = reading(yaml, nowMs);
  let from = 0;
  for (const cut of [...cuts].sort((a, b) => a - b)) {
    if (cut <= from || cut >= text.length) continue;
    reader.push(text.slice(from, cut));
    from = cut;
  }
  reader.push(text.slice(from));
  reader.end();
  return { reports, bad, others };
}
