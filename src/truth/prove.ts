import { Accounted } from './accounted.js';
import { ByteWindow, type ReadBytes } from './byte-window.js';
import { type Captured, matchCaptured } from './captured.js';
import { type Difference, SHOWN_AFTER, SHOWN_BEFORE } from './difference.js';
import type { Finding } from './journal-check.js';

/** What became of a proof. */
export interface Proof {
  /** The journal is in accord with itself, and accounts for every byte of the stream; a captured one has some. */
  readonly isProven: boolean;
  readonly streamBytes: number;
  readonly journalBytes: number;
  readonly sentences: number;
  readonly epochs: number;
  readonly dropped: number;
  /** Bytes of the stream that agree with the journal before the first difference. */
  readonly agreeing: number;
  /** Null: there is none. */
  readonly difference: Difference | null;
  /** Where both have the same length: bytes that differ at their place. Null where the lengths differ. */
  readonly differing: number | null;
  /** What in the journal contradicts itself: the first of them. */
  readonly findings: readonly Finding[];
  readonly findingCount: number;
  /** For a stream that may have begun later and have holes; null for one that should be whole. */
  readonly captured: Captured | null;
  /** The line of the journal from which on a host's UART ran at another speed than the module's; null: it never did. */
  readonly otherSpeedLine: number | null;
}

/** What a proof needs beside the two files. */
export interface ProofOptions {
  /** The journal's name, for messages. */
  readonly file: string;
  /** The stream is what a host got: it may begin later, end earlier and have holes, but has nothing else. */
  readonly isCaptured?: boolean;
}

/**
 * Holds a stream against the journal that should account for every byte of it, and the journal against itself. Both
 * are read once, piece by piece.
 * @throws LodestubError `journal.…` where the journal is none
 */
export function prove(journal: ReadBytes, stream: ReadBytes, { file, isCaptured = false }: ProofOptions): Proof {
  const accounted = new Accounted(journal, file);
  const window = new ByteWindow(stream);
  const captured = isCaptured ? matchCaptured(accounted, window) : null;
  const whole = captured === null ? compareWhole(accounted, window) : null;
  while (accounted.next());
  drain(window);
  const { check, offset: journalBytes, otherSpeedLine } = accounted;
  const difference = captured?.difference ?? whole?.difference ?? null;
  const streamBytes = window.offset;
  return {
    isProven: difference === null && check.count === 0 && (!isCaptured || streamBytes > 0),
    streamBytes,
    journalBytes,
    sentences: check.totals.sentences,
    epochs: check.totals.epochs,
    dropped: check.totals.dropped,
    agreeing: captured?.bytes ?? whole?.agreeing ?? 0,
    difference,
    differing: whole !== null && streamBytes === journalBytes ? whole.differing : null,
    findings: check.findings,
    findingCount: check.count,
    captured,
    otherSpeedLine: otherSpeedLine === 0 ? null : otherSpeedLine,
  };
}

interface Whole {
  agreeing: number;
  differing: number;
  difference: Difference | null;
}

/** Byte by byte, each at its place. */
function compareWhole(accounted: Accounted, window: ByteWindow): Whole {
  const whole: Whole = { agreeing: 0, differing: 0, difference: null };
  while (accounted.next()) {
    const length = accounted.length;
    const have = Math.min(length, window.ensure(length));
    if (have < length || !isSame(accounted, window)) {
      const place = firstDifference(accounted, window, have);
      whole.difference ??= differenceAt(accounted, window, place, have);
      whole.differing += countDifferences(accounted, window, have);
      if (whole.difference.offset === window.offset + place) whole.agreeing += place;
    } else if (whole.difference === null) whole.agreeing += length;
    window.skip(have);
  }
  const more = Math.min(SHOWN_AFTER, window.ensure(SHOWN_AFTER));
  if (more > 0 && whole.difference === null) {
    const found = Uint8Array.from(window.bytes.subarray(window.from, window.from + more));
    whole.difference = { offset: window.offset, record: null, expected: new Uint8Array(0), found, before: 0 };
  }
  return whole;
}

const CR = 0x0d;
const LF = 0x0a;

function isSame({ bytes, from, to, hasLineEnd }: Accounted, window: ByteWindow): boolean {
  const at = window.from;
  const end = at + to - from;
  if (hasLineEnd && (window.bytes[end] !== CR || window.bytes[end + 1] !== LF)) return false;
  return window.bytes.compare(bytes, from, to, at, end) === 0;
}

/** A byte of the present piece, its line end included. */
function byteAt({ bytes, from, to }: Accounted, place: number): number {
  const at = from + place;
  if (at < to) return bytes[at] as number;
  return at === to ? CR : LF;
}

function firstDifference(accounted: Accounted, { bytes, from }: ByteWindow, have: number): number {
  let place = 0;
  while (place < have && byteAt(accounted, place) === bytes[from + place]) place++;
  return place;
}

function countDifferences(accounted: Accounted, { bytes, from }: ByteWindow, have: number): number {
  let count = 0;
  for (let place = 0; place < have; place++) if (byteAt(accounted, place) !== bytes[from + place]) count++;
  return count;
}

function differenceAt(accounted: Accounted, window: ByteWindow, place: number, have: number): Difference {
  const before = Math.min(place, SHOWN_BEFORE);
  const most = Math.min(accounted.length, place + SHOWN_AFTER);
  const expected = Uint8Array.from({ length: most - place + before }, (_, i) => byteAt(accounted, place - before + i));
  const start = window.from + place - before;
  const found = Uint8Array.from(window.bytes.subarray(start, window.from + Math.min(have, place + SHOWN_AFTER)));
  const { line, kind, startUs } = accounted;
  const record = { line, kind, startMs: startUs / 1000, place };
  return { offset: window.offset + place, record, expected, found, before };
}

/** Reads on to the end, to know how long the stream is. */
function drain(window: ByteWindow): void {
  for (let have = window.ensure(1); have > 0; have = window.ensure(1)) window.skip(have);
}
