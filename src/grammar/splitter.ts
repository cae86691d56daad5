/** A part of a stream, in order and without gaps: joined, they are the stream. */
export interface Piece {
  /** A sentence begins with `$` or `!`; anything else is noise: a line of text, binary, an empty line. */
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

/** A line without an end is handed on in pieces of so many characters. */
export const LONGEST_LINE = 4096;

/**
 * Splits a stream into sentences and what stands between them, in whatever chunks it comes: the pieces are the same.
 * A `$` always begins a sentence; a `!` does so at the start of a line, or after a checksum.
 */
export class Splitter {
  readonly #take: (piece: Piece) => void;
  #rest = '';
  #restStartMs: number | null = null;
  #offset = 0;
  #line = 1;

  constructor(take: (piece: Piece) => void) {
    this.#take = take;
  }

  /** @param text the next bytes, a character each (latin1) @param atMs when they came; null: nobody knows */
  push(text: string, atMs: number | null = null): void {
    const startMs = this.#rest === '' ? atMs : this.#restStartMs;
    const all = this.#rest === '' ? text : this.#rest + text;
    let from = 0;
    let lineStartMs = startMs;
    for (;;) {
      // The rest has been searched, and no line feed was in it.
      const at = all.indexOf('\n', from === 0 ? all.length - text.length : from);
      if (at < 0) break;
      this.#cutLine(all, from, at + 1, lineStartMs, atMs);
      from = at + 1;
      lineStartMs = atMs;
    }
    while (all.length - from > LONGEST_LINE) {
      this.#cutPart(all.slice(from, from + LONGEST_LINE), lineStartMs, atMs);
      from += LONGEST_LINE;
      lineStartMs = atMs;
    }
    this.#rest = from === 0 ? all : all.slice(from);
    this.#restStartMs = this.#rest === '' ? null : lineStartMs;
  }

  /** The stream has ended: what has no end is handed on as it is. */
  end(): void {
    const rest = this.#rest;
    this.#rest = '';
    if (rest !== '') this.#cutPart(rest, this.#restStartMs, this.#restStartMs);
  }

  #cutLine(all: string, from: number, to: number, startMs: number | null, endMs: number | null): void {
    const isPlain = to - from <= LONGEST_LINE && all[from] === '$' && all[to - 2] === '\r' && to - from > 2;
    const text = all.slice(from, isPlain ? to - 2 : to);
    if (isPlain && !/[\r$!]/.test(text.slice(1))) this.#hand('sentence', text, '\r\n', startMs, endMs);
    else this.#cutPart(all.slice(from, to), startMs, endMs);
  }

  /** Cuts what is not simply a sentence and its end: up to one line feed, at its end. */
  #cutPart(part: string, startMs: number | null, endMs: number | null): void {
    let left = part;
    while (left !== '') {
      const isSentence = left[0] === '$' || left[0] === '!';
      const length = lengthOfPiece(left, isSentence);
      const [ending] = /^(?:\r*\n|\r+)?/.exec(left.slice(length)) as [string];
      this.#hand(isSentence ? 'sentence' : 'noise', left.slice(0, length), ending, startMs, endMs);
      left = left.slice(length + ending.length);
    }
  }

  #hand(kind: Piece['kind'], text: string, ending: string, startMs: number | null, endMs: number | null): void {
    const { length } = text;
    const offset = this.#offset;
    const line = this.#line;
    this.#offset += length + ending.length;
    if (ending !== '') this.#line += 1;
    this.#take({ kind, text, ending, offset, line, startMs, endMs });
  }
}

/** Up to a line's end or the next sentence's beginning. */
function lengthOfPiece(text: string, isSentence: boolean): number {
  const next = isSentence ? /[\r\n$]|(?<=\*[0-9A-Fa-f]{2})!/g : /[\r\n$]/g;
  next.lastIndex = isSentence ? 1 : 0;
  return next.exec(text)?.index ?? text.length;
}
