/** A part of a stream, in order and without gaps: joined, they are the stream. */
export interface Piece {
  /**
   * A sentence begins with `$` or `!`, a letter, and a letter or digit; anything else is noise: a line of text, binary,
   * an empty line. So a `$` amid binary rarely makes a sentence (1 in 20), which its checksum then shows to be none.
   */
  readonly kind: 'sentence' | 'noise';
  /** As it came, a character a byte (latin1), without what ended it. */
  readonly text: string;
  /** What ended it: `\r\n`, or `\n`, `\r`, `\r\r\n`; empty: the next one began, or the stream ended. */
  readonly ending: string;
  /** Place of its first byte in the stream, from 0. */
  readonly offset: number;
  /** Line that it begins in, from 1. */
  readonly line: number;
  /** When its first and last bytes came, in the caller's ms; null: nobody knows. */
  readonly startMs: number | null;
  readonly endMs: number | null;
}

/** What has no end is handed on in pieces of so many characters. */
export const LONGEST_LINE = 4096;
/** A line's end has no more characters: what follows is an empty line. */
const LONGEST_ENDING = 4;

const LF = 0x0a;
const CR = 0x0d;
const SENTENCE = /[$!][A-Za-z][A-Za-z0-9]/y;
/** Ends of a sentence, and of noise. An `!` amid a line begins a sentence only after a checksum. */
const SENTENCE_END = /[\r\n$]|(?<=\*[0-9A-Fa-f]{2})!/g;
const NOISE_END = /[\r\n$]/g;
/** What a sentence that is simply a line does not contain. */
const NOT_PLAIN = /[\r$!]/;

/**
 * Splits a stream into sentences and what stands between them, in whatever chunks it comes: the pieces are the same.
 * A `$` always begins a piece; a `!` does so at the start of a line, or after a checksum.
 */
export class Splitter {
  readonly #take: (piece: Piece) => void;
  /** Begins where the next piece does. */
  #rest = '';
  #restStartMs: number | null = null;
  #restEndMs: number | null = null;
  #offset = 0;
  #line = 1;
  /** Whether the next piece begins amid what was too long for one. */
  #isGoingOn = false;

  constructor(take: (piece: Piece) => void) {
    this.#take = take;
  }

  /** @param text the next bytes, a character each (latin1) @param atMs when they came; null: nobody knows */
  push(text: string, atMs: number | null = null): void {
    if (text !== '') this.#cut(text, atMs, false);
  }

  /** The stream has ended: what has no end is handed on as it is. */
  end(): void {
    this.#cut('', this.#restEndMs, true);
  }

  #cut(text: string, atMs: number | null, isLast: boolean): void {
    const old = this.#rest.length;
    const all = old === 0 ? text : this.#rest + text;
    let from = 0;
    let feed = 0;
    while (from < all.length) {
      if (feed >= 0 && feed <= from) feed = all.indexOf('\n', from);
      let end = feed - 1;
      let ending = '\r\n';
      let isTooLong = false;
      if (!this.#isPlain(all, from, feed)) {
        const found = this.#endOfPiece(all, from);
        isTooLong = found - from > LONGEST_LINE || (found < 0 && all.length - from > LONGEST_LINE);
        if (found < 0 && !isTooLong && !isLast) break;
        end = isTooLong ? from + LONGEST_LINE : found < 0 ? all.length : found;
        const foundEnding = isTooLong ? '' : endingAt(all, end, isLast);
        if (foundEnding === null) break;
        ending = foundEnding;
      }
      const next = end + ending.length;
      const startMs = from < old ? this.#restStartMs : atMs;
      this.#hand(all, from, end, ending, startMs, next <= old ? this.#restEndMs : atMs);
      this.#isGoingOn = isTooLong;
      from = next;
    }
    if (from >= old) this.#restStartMs = from === all.length ? null : atMs;
    this.#restEndMs = atMs;
    this.#rest = from === 0 ? all : all.slice(from);
  }

  /** Whether a sentence and its CR LF are all that stands before a line feed. */
  #isPlain(all: string, from: number, feed: number): boolean {
    if (feed - from < 4 || feed - from > LONGEST_LINE || all.charCodeAt(feed - 1) !== CR) return false;
    SENTENCE.lastIndex = from;
    return !this.#isGoingOn && SENTENCE.test(all) && !NOT_PLAIN.test(all.slice(from + 1, feed - 1));
  }

  /** Where a piece ends, before what ends its line; -1: that is yet to come. */
  #endOfPiece(all: string, from: number): number {
    const isStart = all[from] === '$' || (all[from] === '!' && !this.#isGoingOn);
    const pattern = isStart ? SENTENCE_END : NOISE_END;
    pattern.lastIndex = isStart ? from + 1 : from;
    return pattern.exec(all)?.index ?? -1;
  }

  #hand(all: string, from: number, end: number, ending: string, startMs: number | null, endMs: number | null): void {
    SENTENCE.lastIndex = from;
    const isSentence = SENTENCE.test(all) && !(this.#isGoingOn && all[from] === '!');
    const offset = this.#offset;
    const line = this.#line;
    this.#offset += end - from + ending.length;
    if (ending !== '') this.#line += 1;
    this.#take({
      kind: isSentence && end - from > 2 ? 'sentence' : 'noise',
      text: all.slice(from, end),
      ending,
      offset,
      line,
      startMs,
      endMs,
    });
  }
}

/** What ends a line at `at`, some CR and LF or CR alone; empty: nothing; null: that is yet to be seen. */
function endingAt(all: string, at: number, isLast: boolean): string | null {
  let end = at;
  while (end < all.length && end - at < LONGEST_ENDING && all.charCodeAt(end) === CR) end++;
  if (end - at < LONGEST_ENDING) {
    if (end === all.length && end > at && !isLast) return null;
    if (all.charCodeAt(end) === LF) end++;
  }
  return all.slice(at, end);
}
