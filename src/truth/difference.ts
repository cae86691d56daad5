/** Where in the journal a byte stands. */
export interface JournalPlace {
  readonly line: number;
  readonly kind: 'sentence' | 'bytes';
  /** The record's start, ms. */
  readonly startMs: number;
  /** The byte's place in what the record says went out, from 0. */
  readonly place: number;
}

/** Where a stream has something else than the journal. */
export interface Difference {
  /** Place in the stream, from 0. */
  readonly offset: number;
  /** What of the journal should stand there; null: the journal has no more. */
  readonly record: JournalPlace | null;
  /** Some bytes of the journal and of the stream, from shortly before the place on; there may be none of either. */
  readonly expected: Uint8Array;
  readonly found: Uint8Array;
  /** How many of `expected` and of `found` come before the place, and agree. */
  readonly before: number;
}

/** How many bytes are shown before a difference, and from it on. */
export const SHOWN_BEFORE = 8;
export const SHOWN_AFTER = 16;
