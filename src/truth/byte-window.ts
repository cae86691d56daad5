import { MovingBytes } from './moving-bytes.js';

/** Reads the next bytes into `into`, from its beginning. @returns how many; 0: there are no more */
export type ReadBytes = (into: Uint8Array) => number;

/** A part of a file; what is at hand changes with every `ensure` and `line`. */
export class ByteWindow extends MovingBytes {
  readonly #read: ReadBytes;
  #isAtEnd = false;

  constructor(read: ReadBytes) {
    super();
    this.#read = read;
  }

  /** Sees to it that so many bytes are at hand, where the file has as many. @returns how many are */
  ensure(count: number): number {
    while (this.to - this.from < count && !this.#isAtEnd) this.#fill(count);
    return this.to - this.from;
  }

  /**
   * Length of the line that begins here, with its line feed, or without where the file ends in its middle.
   * @param most no line is looked for beyond so many bytes
   */
  line(most: number): number {
    for (let searched = 0; ; ) {
      // What lies beyond `to` is of no meaning; a view that ends there would cost more than looking too far.
      const feed = this.bytes.indexOf(LINE_FEED, this.from + searched);
      if (feed >= 0 && feed < this.to) return feed + 1 - this.from;
      searched = this.to - this.from;
      if (searched >= most || this.ensure(searched + 1) === searched) return searched;
    }
  }

  #fill(count: number): void {
    this.compact();
    if (count > this.bytes.length || this.to === this.bytes.length) this.grow(Math.max(count, this.bytes.length));
    const got = this.#read(this.bytes.subarray(this.to));
    this.to += got;
    this.#isAtEnd = got === 0;
  }
}

const LINE_FEED = 0x0a;
