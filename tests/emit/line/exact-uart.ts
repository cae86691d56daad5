import { BITS_PER_BYTE } from '../../../src/base/constants.js';

/** A byte on a line: its start bit's begin and its speed. Times are whole numbers of the ticks of {@link ticksPerS}. */
export interface LineByte {
  readonly byte: number;
  readonly start: bigint;
  readonly baud: number;
}

/** The speed of the one who reads, from a time on; ends where the next begins. */
export interface ReadingSpeed {
  readonly baud: number;
  readonly from: bigint;
}

/** What was read: the byte as sampled, when its stop bit was sampled, and whether that read high. */
export interface ReadByte {
  readonly byte: number;
  readonly at: bigint;
  readonly isFramed: boolean;
}

function gcd(a: bigint, b: bigint): bigint {
  return b === 0n ? a : gcd(b, a % b);
}

/** So many ticks a second that a bit, a 32nd of a bit and a nanosecond are whole numbers of them at all speeds. */
export function ticksPerS(bauds: readonly number[]): bigint {
  let ticks = 1_000_000_000n;
  for (const baud of bauds) {
    const parts = 32n * BigInt(baud);
    ticks = (ticks / gcd(ticks, parts)) * parts;
  }
  return ticks;
}

/**
 * A UART by brute force, for tests: levels as a function of time, every sample taken at its time, all in whole numbers.
 * It shares nothing with the program's reader but DESIGN's words.
 */
export function readExactly(
  ticks: bigint,
  line: readonly LineByte[],
  speeds: readonly ReadingSpeed[],
  until?: bigint,
): ReadByte[] {
  const bitOf = ({ baud }: LineByte) => ticks / BigInt(baud);
  const level = (time: bigint): number => {
    let [low, high] = [0, line.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((line[middle] as LineByte).start <= time) low = middle + 1;
      else high = middle;
    }
    const on = line[low - 1];
    if (on === undefined) return 1;
    const bit = Number((time - on.start) / bitOf(on));
    if (bit === 0) return 0;
    return bit <= 8 ? (on.byte >> (bit - 1)) & 1 : 1;
  };
  const falls: bigint[] = [];
  for (const on of line) {
    for (let bit = 0n; bit < BITS_PER_BYTE; bit++) {
      const at = on.start + bit * bitOf(on);
      if (level(at) === 0 && level(at - 1n) === 1) falls.push(at);
    }
  }
  const read: ReadByte[] = [];
  let next = 0;
  for (const [place, { baud, from }] of speeds.entries()) {
    const end = speeds[place + 1]?.from ?? until;
    const isOver = (time: bigint) => end !== undefined && time >= end;
    const part = ticks / (32n * BigInt(baud));
    while (next < falls.length && (falls[next] as bigint) < from) next++;
    reading: for (;;) {
      const edge = falls[next];
      if (edge === undefined || isOver(edge)) break;
      let byte = 0;
      let time = edge;
      for (let k = 0; k <= 9; k++) {
        time = edge + BigInt(32 * k + 17) * part;
        if (isOver(time)) break reading;
        const sampled = level(time);
        if (k === 0 && sampled === 1) break;
        if (k >= 1 && k <= 8) byte |= sampled << (k - 1);
        if (k === 9) read.push({ byte, at: time, isFramed: sampled === 1 });
      }
      while (next < falls.length && (falls[next] as bigint) <= time) next++;
    }
  }
  return read;
}

/** A line of a journal, as far as it tells what was on the line. */
export interface LineRecord {
  readonly type: string;
  readonly startMs?: number;
  readonly atMs?: number;
  readonly baud?: number;
}

/** Journal times are written to the µs: what begins so little after the end of what was before follows it at once. */
const SAME_NS = 3000;

/** What a journal says was on the line. @param sent the bytes of a record, a character each; null: it has none */
export function lineOfJournal<T extends LineRecord>(
  ticks: bigint,
  journal: readonly T[],
  sent: (record: T) => string | null,
): LineByte[] {
  const at = (timeMs: number) => (BigInt(Math.round(timeMs * 1e6)) * ticks) / 1_000_000_000n;
  const line: LineByte[] = [];
  const speeds = journal.filter(({ type }) => type === 'run' || type === 'line');
  let end = 0n;
  for (const record of journal) {
    const bytes = sent(record);
    if (bytes === null || record.startMs === undefined) continue;
    const { startMs } = record;
    const baud = speeds.findLast(({ atMs }) => (atMs ?? 0) <= startMs)?.baud as number;
    let start = at(startMs);
    if (start - end < (BigInt(SAME_NS) * ticks) / 1_000_000_000n) start = end;
    for (const character of bytes) {
      line.push({ byte: character.charCodeAt(0), start, baud });
      start += (10n * ticks) / BigInt(baud);
    }
    end = start;
  }
  return line;
}
