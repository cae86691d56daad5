/**
 * Reads RINEX 3.04 files by the columns of its tables A2, A3 and A5 to A18, and by nothing else; written for the tests
 * alone. Whatever stands outside a field is an error.
 */

export interface HeaderLine {
  readonly content: string;
  readonly label: string;
}

export interface ReadValue {
  readonly value: number;
  readonly lossOfLock: string;
  readonly strength: string;
}

export interface ReadEpoch {
  readonly date: readonly [year: number, month: number, day: number, hour: number, minute: number];
  readonly second: number;
  readonly flag: number;
  /** By satellite, then by observation code. */
  readonly satellites: ReadonlyMap<string, ReadonlyMap<string, ReadValue>>;
}

export interface ReadObservation {
  readonly header: readonly HeaderLine[];
  /** By system letter. */
  readonly types: ReadonlyMap<string, readonly string[]>;
  readonly epochs: readonly ReadEpoch[];
}

export interface ReadRecord {
  readonly id: string;
  readonly date: readonly number[];
  /** Row by row; null: blank. */
  readonly rows: readonly (readonly (number | null)[])[];
}

export function readObservation(text: string): ReadObservation {
  const lines = linesOf(text);
  const { header, next } = headerOf(lines);
  const types = typesOf(header);
  const epochs: ReadEpoch[] = [];
  for (let at = next; at < lines.length; ) {
    const line = lines[at++] as string;
    require(line.startsWith('> '), line);
    for (const column of [6, 9, 12, 15, 29, 30]) require(line.charAt(column) === ' ', line);
    require(line.length === 35, line);
    const satellites = new Map<string, ReadonlyMap<string, ReadValue>>();
    const count = integer(line.slice(32, 35));
    for (let i = 0; i < count; i++) {
      const row = lines[at++] as string;
      satellites.set(row.slice(0, 3), valuesOf(row, types.get(row.charAt(0)) ?? []));
    }
    require(satellites.size === count, line);
    epochs.push({
      date: [line.slice(2, 6), line.slice(7, 9), line.slice(10, 12), line.slice(13, 15), line.slice(16, 18)].map(
        integer,
      ) as unknown as ReadEpoch['date'],
      second: decimal(line.slice(18, 29), 7),
      flag: integer(line.slice(31, 32)),
      satellites,
    });
  }
  return { header, types, epochs };
}

export function readNavigation(text: string): { header: readonly HeaderLine[]; records: readonly ReadRecord[] } {
  const lines = linesOf(text);
  const { header, next } = headerOf(lines);
  return { header, records: readRecords(lines.slice(next)) };
}

/** Lines a record has, by system letter. */
const ROWS: Readonly<Record<string, number>> = { G: 8, E: 8, C: 8, J: 8, I: 8, S: 4 };

/** @param glonassRows 5 in RINEX 3.05 */
export function readRecords(lines: readonly string[], glonassRows = 4): ReadRecord[] {
  const records: ReadRecord[] = [];
  for (let at = 0; at < lines.length; ) {
    const first = lines[at] as string;
    require(/^[GECJIRS]\d\d \d{4}( \d\d){5}/.test(first), first);
    const rows = first.startsWith('R') ? glonassRows : (ROWS[first.charAt(0)] as number);
    const read = lines.slice(at, at + rows).map((line, row) => {
      require(row === 0 || line.startsWith('    '), line);
      const from = row === 0 ? 23 : 4;
      const text = line.slice(from).trimEnd();
      require(text.length <= (row === 0 ? 57 : 76) && text.length % 19 === 0, line);
      return Array.from({ length: text.length / 19 }, (_, i) => scientific(text.slice(i * 19, i * 19 + 19)));
    });
    records.push({ id: first.slice(0, 3), date: first.slice(4, 23).split(' ').map(integer), rows: read });
    at += rows;
  }
  return records;
}

function linesOf(text: string): string[] {
  require(text.endsWith('\n') && !/[^\n\x20-\x7e]/.test(text), 'ASCII, whole lines');
  return text.slice(0, -1).split('\n');
}

function headerOf(lines: readonly string[]): { header: HeaderLine[]; next: number } {
  const header: HeaderLine[] = [];
  for (const [at, line] of lines.entries()) {
    require(line.length > 60 && line.length <= 80, line);
    const label = line.slice(60).trimEnd();
    header.push({ content: line.slice(0, 60), label });
    if (label === 'END OF HEADER') return { header, next: at + 1 };
  }
  throw new Error('no end of header');
}

function typesOf(header: readonly HeaderLine[]): Map<string, string[]> {
  const types = new Map<string, string[]>();
  let listed: string[] = [];
  let announced = 0;
  for (const { content, label } of header) {
    if (label !== 'SYS / # / OBS TYPES') continue;
    if (content.charAt(0) !== ' ') {
      require(listed.length === announced, 'as many types as announced');
      listed = [];
      types.set(content.charAt(0), listed);
      announced = integer(content.slice(3, 6));
    }
    for (let i = 0; i < 13; i++) {
      const type = content.slice(6 + 4 * i, 10 + 4 * i);
      if (type.trim() === '') break;
      require(/^ [CLDS]\d[A-Z]$/.test(type), content);
      listed.push(type.trim());
    }
  }
  require(listed.length === announced, 'as many types as announced');
  return types;
}

function valuesOf(row: string, types: readonly string[]): Map<string, ReadValue> {
  const values = new Map<string, ReadValue>();
  require(row.length <= 3 + 16 * types.length, row);
  for (const [i, type] of types.entries()) {
    const field = row.slice(3 + 16 * i, 19 + 16 * i).padEnd(16);
    if (field.trim() === '') continue;
    require(/[ 0-7]/.test(field.charAt(14)) && /[ 1-9]/.test(field.charAt(15)), row);
    values.set(type, {
      value: decimal(field.slice(0, 14), 3),
      lossOfLock: field.charAt(14),
      strength: field.charAt(15),
    });
  }
  return values;
}

function integer(text: string): number {
  require(/^ *\d+$/.test(text), text);
  return Number(text);
}

function decimal(text: string, decimals: number): number {
  require(new RegExp(`^ *-?\\d+\\.\\d{${decimals}}$`).test(text), text);
  return Number(text);
}

function scientific(text: string): number | null {
  if (text.trim() === '') return null;
  require(/^ *-?\d?\.\d{12}[DEde][+-]\d\d$/.test(text), text);
  return Number(text.replace(/[Dd]/, 'e'));
}

function require(condition: boolean, what: string): void {
  if (!condition) throw new Error(`not RINEX 3.04: ${JSON.stringify(what)}`);
}
