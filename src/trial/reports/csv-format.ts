import { parse } from 'csv-parse/sync';
import { listed } from '../../base/words.js';
import type { LineFormat } from './line-reader.js';
import type { FieldReader, Reading } from './report-fields.js';
import type { ReportsFormat } from './reports-settings.js';

const OTHER: Reading = { kind: 'other' };

type CsvSettings = Extract<ReportsFormat, { name: 'csv' }>;

/**
 * CSV (RFC 4180), a record a line: a quoted field cannot go on in the next one.
 * @param isMixed lines of a log may stand between: those without a delimiter, and those before the header
 */
export function csvFormat(settings: CsvSettings, fields: FieldReader, isMixed: boolean): LineFormat {
  let { delimiter, columns } = settings;
  let isHeaderNext = settings.header;
  let header: string | null = null;
  const readHeader = (line: string): Reading => {
    const likely = delimiter ?? likelyDelimiter(line);
    const cells = cellsOf(line, likely);
    if (typeof cells === 'string') return isMixed ? OTHER : { kind: 'bad', why: cells };
    const names = cells.map((cell) => cell.trim());
    if (isMixed && !names.some((name) => fields.knows(name))) return OTHER;
    isHeaderNext = false;
    delimiter = likely;
    // Names that the trial gives stand for those of the first line.
    columns ??= names;
    header = line;
    const [missing] = fields.missing(columns);
    if (missing === undefined) return OTHER;
    return { kind: 'bad', why: `no column is named ${missing}; there are ${listed(columns, 12)}` };
  };
  const read = (line: string): Reading => {
    if (isHeaderNext) return readHeader(line);
    delimiter ??= likelyDelimiter(line);
    // A host that starts again writes its header again.
    if (line === header || (isMixed && !line.includes(delimiter) && columns?.length !== 1)) return OTHER;
    const cells = cellsOf(line, delimiter);
    if (typeof cells === 'string') return { kind: 'bad', why: cells };
    if (columns !== null && cells.length !== columns.length) {
      return { kind: 'bad', why: `${cells.length} columns, ${columns.length} are named` };
    }
    return fields.read(namedCells(cells, columns ?? []));
  };
  return {
    read: (line) => [{ text: line, reading: read(line) }],
    restart() {
      isHeaderNext = settings.header;
      ({ delimiter, columns } = settings);
      header = null;
    },
  };
}

/** The cells by the names of their columns, and by their numbers, from 1, where no column is named so. */
function namedCells(cells: readonly string[], columns: readonly string[]): Record<string, string> {
  const named: Record<string, string> = {};
  cells.forEach((cell, index) => {
    const name = columns[index];
    if (name !== undefined && name !== '' && !Object.hasOwn(named, name)) named[name] = cell;
  });
  cells.forEach((cell, index) => {
    named[String(index + 1)] ??= cell;
  });
  return named;
}

/** The cells of a line, or what is wrong with it. */
function cellsOf(line: string, delimiter: string): string[] | string {
  try {
    const [cells] = parse(line, { delimiter, relax_column_count: true }) as string[][];
    return cells ?? [];
  } catch (error) {
    const { code } = error as { code?: string };
    if (code === 'CSV_QUOTE_NOT_CLOSED') return 'a quote is not closed in its line';
    if (code === 'INVALID_OPENING_QUOTE' || code === 'CSV_INVALID_CLOSING_QUOTE') return 'a quote stands within a cell';
    return `it is not CSV: ${(error as Error).message}`;
  }
}

function likelyDelimiter(line: string): string {
  const counts = [',', ';', '\t'].map((each) => ({ each, count: line.split(each).length }));
  return counts.reduce((best, next) => (next.count > best.count ? next : best)).each;
}
