import type { Accounted } from './accounted.js';
import type { ByteWindow } from './byte-window.js';
import { type Difference, type JournalPlace, SHOWN_AFTER } from './difference.js';
import { JournalBytes } from './journal-bytes.js';

/** A part of what went out that the host did not get. */
export interface Lost {
  readonly bytes: number;
  /** The first byte that was lost, and the last. */
  readonly first: JournalPlace;
  readonly last: JournalPlace;
}

/** What of the journal's bytes is in a captured stream. */
export interface Captured {
  /** Bytes of the stream that the journal has, in order. */
  readonly bytes: number;
  /** Pieces without a gap that they come in. */
  readonly pieces: number;
  /** What is missing between them, and before the first: the first of them. */
  readonly lost: readonly Lost[];
  readonly lostCount: number;
  /** Bytes of the stream that the journal does not have; null: there are none. */
  readonly difference: Difference | null;
}

/** A piece of a stream is looked for by so many bytes: the first length that is found is taken. */
const PROBES = [1024, 256, 64, 32] as const;
const LONGEST_PROBE = PROBES[0];

/** A piece must have so many bytes, half a sentence, so that it is not found where it was not sent. */
export const LEAST_PIECE = 32;

/** So much of the journal is searched for every length before the next part of it is, bytes. */
const REGION = 4 << 20;

/** So many bytes are compared at a time. */
const BLOCK = 1 << 16;

/** So many gaps are kept; the rest is only counted. */
const MOST_KEPT = 20;

/**
 * Finds the pieces of a stream in what the journal says went out, one after the other, each behind the one before. A
 * piece that is found nowhere ends the search. All of the journal is read.
 */
export function matchCaptured(accounted: Accounted, window: ByteWindow): Captured {
  const journal = new JournalBytes(accounted);
  const lost: Lost[] = [];
  let [bytes, pieces, lostCount] = [0, 0, 0];
  let difference: Difference | null = null;
  const lose = (first: JournalPlace, last: JournalPlace, count: number) => {
    if (count > 0 && lost.length < MOST_KEPT) lost.push({ bytes: count, first, last });
    if (count > 0) lostCount++;
  };
  while (window.ensure(LONGEST_PROBE) > 0 && difference === null) {
    const before = journal.offset;
    journal.ensure(1);
    const first = journal.placeOf(before);
    if (seek(journal, window)) {
      lose(first, journal.placeOf(journal.offset - 1), journal.offset - before);
      bytes += follow(journal, window);
      pieces++;
    } else {
      const found = Uint8Array.from(window.bytes.subarray(window.from, Math.min(window.to, window.from + SHOWN_AFTER)));
      const record = first.line === 0 ? null : first;
      difference = { offset: window.offset, record, expected: new Uint8Array(0), found, before: 0 };
    }
  }
  if (difference === null) {
    const before = journal.offset;
    const first = journal.ensure(1) > 0 ? journal.placeOf(before) : null;
    while (journal.ensure(1) > 0) journal.skip(journal.to - journal.from);
    if (first !== null) lose(first, journal.placeOf(journal.offset - 1), journal.offset - before);
  }
  return { bytes, pieces, lost, lostCount, difference };
}

/** Moves to where in the journal the stream goes on. @returns false: nowhere, and all of the journal is read */
function seek(journal: JournalBytes, window: ByteWindow): boolean {
  const have = window.to - window.from;
  const probes = PROBES.filter((length) => length <= have).map((length) =>
    Buffer.from(window.bytes.subarray(window.from, window.from + length)),
  );
  for (;;) {
    const available = journal.ensure(REGION);
    const region = journal.bytes.subarray(journal.from, journal.to);
    for (const probe of probes) {
      const place = region.indexOf(probe);
      if (place < 0) continue;
      journal.skip(bestPlace(region, probe, place, window));
      return true;
    }
    if (available < REGION) return false;
    // What begins at the very end of this part may go on in the next.
    journal.skip(available - LONGEST_PROBE + 1);
  }
}

/** So many places are compared, where a piece's beginning is found more than once: sentences may repeat. */
const MOST_PLACES = 32;

/** Of the places where a piece's beginning is found, the first of those at which most of it agrees. */
function bestPlace(region: Uint8Array, probe: Buffer, firstPlace: number, window: ByteWindow): number {
  const agreeing = (place: number) => {
    const most = Math.min(region.length - place, window.to - window.from, BLOCK);
    let count = probe.length;
    while (count < most && region[place + count] === window.bytes[window.from + count]) count++;
    return count;
  };
  const searched = Buffer.from(region.buffer, region.byteOffset, region.length);
  let [best, most] = [firstPlace, agreeing(firstPlace)];
  let place = firstPlace;
  for (let compared = 1; compared < MOST_PLACES; compared++) {
    place = searched.indexOf(probe, place + 1);
    if (place < 0) break;
    const count = agreeing(place);
    if (count > most) [best, most] = [place, count];
  }
  return best;
}

/** Moves on through both as far as they agree. @returns how many bytes do */
function follow(journal: JournalBytes, window: ByteWindow): number {
  for (let count = 0; ; ) {
    const most = Math.min(BLOCK, window.ensure(BLOCK), journal.ensure(BLOCK));
    const agreeing = agreeingBytes(journal, window, most);
    window.skip(agreeing);
    journal.skip(agreeing);
    count += agreeing;
    if (agreeing < most || most === 0) return count;
  }
}

function agreeingBytes(journal: JournalBytes, window: ByteWindow, most: number): number {
  const [a, b] = [journal.from, window.from];
  if (window.bytes.compare(journal.bytes, a, a + most, b, b + most) === 0) return most;
  let count = 0;
  while (journal.bytes[a + count] === window.bytes[b + count]) count++;
  return count;
}
