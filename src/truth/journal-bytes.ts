import type { Accounted } from './accounted.js';
import type { JournalPlace } from './difference.js';
import { MovingBytes } from './moving-bytes.js';

/** All that a journal says went out as one string of bytes, of which some is at hand. */
export class JournalBytes extends MovingBytes {
  readonly #accounted: Accounted;
  #isAtEnd = false;
  /** Of each piece that is at hand, in part at least, in order. */
  #pieces: { readonly line: number; readonly kind: 'sentence' | 'bytes'; startMs: number; offset: number }[] = [];

  constructor(accounted: Accounted) {
    super();
    this.#accounted = accounted;
  }

  /** Sees to it that so many bytes are at hand, where the journal has as many. @returns how many are */
  ensure(count: number): number {
    while (this.to - this.from < count && !this.#isAtEnd) {
      if (this.#accounted.next()) this.#append();
      else this.#isAtEnd = true;
    }
    return this.to - this.from;
  }

  /** The record that a byte belongs to: one at hand, by its place among all bytes. */
  placeOf(offset: number): JournalPlace {
    const pieces = this.#pieces;
    let low = 0;
    for (let high = pieces.length - 1; low < high; ) {
      const middle = (low + high + 1) >> 1;
      if ((pieces[middle] as { offset: number }).offset <= offset) low = middle;
      else high = middle - 1;
    }
    const piece = pieces[low];
    if (piece === undefined) return { line: 0, kind: 'sentence', startMs: 0, place: 0 };
    return { line: piece.line, kind: piece.kind, startMs: piece.startMs, place: offset - piece.offset };
  }

  #append(): void {
    const { line, kind, startUs, bytes, from, to, hasLineEnd, length } = this.#accounted;
    if (this.to + length > this.bytes.length) this.#makeRoom(length);
    this.#pieces.push({ line, kind, startMs: startUs / 1000, offset: this.offset + this.to - this.from });
    bytes.copy(this.bytes, this.to, from, to);
    this.to += length;
    if (hasLineEnd) this.bytes.write('\r\n', this.to - 2, 'latin1');
  }

  #makeRoom(length: number): void {
    // The one before is kept too: what was lost may end with it.
    const past = this.#pieces.findIndex(({ offset }) => offset > this.offset);
    this.#pieces = this.#pieces.slice(Math.max(0, (past < 0 ? this.#pieces.length : past) - 2));
    this.compact();
    if (this.to + length > this.bytes.length) this.grow(this.to + length);
  }
}
