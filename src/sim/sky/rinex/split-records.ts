import { LodestubError } from '../../../base/error.js';
import type { NavigationHeader } from './header.js';
import { endsInNumber, RecordLines } from './lines.js';

/** How many lines a record has, by its system's letter: fewest and most. */
const LINES: Readonly<Record<string, readonly [fewest: number, most: number]>> = {
  G: [8, 8],
  E: [8, 8],
  C: [8, 8],
  J: [8, 8],
  I: [8, 8],
  // RINEX 3.05 added a fifth line to those of GLONASS.
  R: [4, 5],
  S: [4, 4],
};
/** The messages of RINEX 4 that are read. */
const MESSAGES = new Set(['LNAV', 'INAV', 'FNAV', 'FDMA', 'D1', 'D2', 'SBAS']);

const START_2 = /^[ \d]\d [ \d]\d [ \d]\d [ \d]\d [ \d]\d [ \d]\d/;
const START_3 = /^[A-Z][ \d]\d \d{4} /;
const START_4 = /^> ?([A-Z]{3}) ([A-Z])([ \d]{2}) (\w+)/;

/** A record's lines while they are gathered. */
interface Open {
  readonly id: string;
  readonly firstLine: number;
  readonly lines: string[];
  readonly purpose: 'orbit' | 'ionosphere' | 'none';
}

/** A file's records, line by line, and in RINEX 4 the first of GPS's ionosphere. */
export interface SplitFile {
  readonly records: readonly RecordLines[];
  readonly ionosphere: RecordLines | null;
}

/**
 * Cuts the file after its header into records.
 * @param isCutInLine the last line has no end
 * @throws LodestubError `navigation.version`, `navigation.line`, `navigation.truncated`
 */
export function splitRecords(
  lines: readonly string[],
  header: NavigationHeader,
  isCutInLine: boolean,
  name: string,
): SplitFile {
  const records: RecordLines[] = [];
  let ionosphere: RecordLines | null = null;
  let open: Open | null = null;
  const close = (isLast: boolean) => {
    if (open === null || open.purpose === 'none') return;
    const whole = new RecordLines(open.id, open.lines, open.firstLine, header.layout, name);
    checkLength(open, whole, isLast, isLast && isCutInLine);
    if (open.purpose === 'orbit') records.push(whole);
    else ionosphere ??= whole;
  };
  for (let i = header.next; i < lines.length; i++) {
    const line = lines[i] as string;
    const started: Open | null = startOf(line, i, header, open, name);
    if (started !== null) {
      close(false);
      open = started;
    } else if (open !== null) {
      if (line.trim() !== '' || wants(open)) open.lines.push(line);
    } else if (line.trim() !== '') {
      throw new LodestubError({
        code: 'navigation.line',
        path: `${name}, line ${i + 1}`,
        expected: 'the first line of a record',
        received: shown(line),
      });
    }
  }
  close(true);
  return { records, ionosphere };
}

/**
 * Whether the record still lacks lines: an editor may have made one of blanks empty. The file's last line is empty too.
 */
function wants({ lines, id, purpose }: Open): boolean {
  return purpose === 'orbit' && lines.length > 0 && lines.length < fewest(id) - 1;
}

function fewest(id: string): number {
  return LINES[id.charAt(0)]?.[0] ?? 0;
}

function shown(line: string): string {
  return JSON.stringify(line.slice(0, 40));
}

/** The record that a line begins; null where it goes on with the one before. */
function startOf(line: string, index: number, header: NavigationHeader, open: Open | null, name: string): Open | null {
  const isHeader = line.slice(60).trim() === 'RINEX VERSION / TYPE';
  if (!isHeader && (/^ {3}/.test(line) || line.trim() === '')) return null;
  const path = `${name}, line ${index + 1}`;
  const major = Math.floor(header.version);
  const [two, three, four] = [START_2.test(line), START_3.test(line), START_4.exec(line)];
  const found = two ? 2 : three ? 3 : four === null ? null : 4;
  if (major === 4 && three && open !== null && open.lines.length === 0) return null;
  if (found === null && !isHeader) {
    throw new LodestubError({
      code: 'navigation.line',
      path,
      expected: `a line of a RINEX ${major} record`,
      received: shown(line),
    });
  }
  if (found !== major) {
    const what = found === null ? 'a second header' : `a record of version ${found}`;
    const hint = 'Files of several versions were joined: give one of them.';
    throw new LodestubError({
      code: 'navigation.version',
      path,
      expected: `records of RINEX version ${major}`,
      received: what,
      hint,
    });
  }
  if (four !== null) return startOfFour(four, index);
  const id = two ? `${header.letter}${line.slice(0, 2)}` : line.slice(0, 3);
  const purpose = Object.hasOwn(LINES, id.charAt(0)) ? 'orbit' : 'none';
  return { id: id.replace(' ', '0'), firstLine: index + 1, lines: [line], purpose };
}

/** Its lines follow: `> EPH G01 LNAV`. */
function startOfFour([, kind, letter, number, message]: RegExpExecArray, index: number): Open {
  const id = `${letter}${number?.replaceAll(' ', '0')}`;
  const isOrbit = kind === 'EPH' && MESSAGES.has(message ?? '') && Object.hasOwn(LINES, letter ?? '');
  const isIonosphere = kind === 'ION' && letter === 'G' && message === 'LNAV';
  const purpose = isOrbit ? 'orbit' : isIonosphere ? 'ionosphere' : 'none';
  return { id, firstLine: index + 2, lines: [], purpose };
}

function checkLength(open: Open, whole: RecordLines, isLast: boolean, isCutInLine: boolean): void {
  const [least, most] = open.purpose === 'orbit' ? (LINES[open.id.charAt(0)] as readonly [number, number]) : [3, 3];
  const { length } = open.lines;
  const expected = `${least} lines of satellite ${open.id}’s record`;
  const last = open.lines[length - 1] ?? '';
  const isCut = isCutInLine && endsInNumber(last, length > 1 ? whole.layout.column : whole.layout.firstColumn);
  if (isLast && (length < least || isCut)) {
    const received = length < least ? `${length}` : 'a number that is cut off';
    const hint = 'The file is cut off: fetch it again, or delete its last record.';
    throw new LodestubError({
      code: 'navigation.truncated',
      path: whole.pathOf(Math.max(length - 1, 0)),
      expected,
      received,
      hint,
    });
  }
  if (length < least || length > most) {
    throw new LodestubError({ code: 'navigation.line', path: whole.pathOf(0), expected, received: `${length}` });
  }
}
