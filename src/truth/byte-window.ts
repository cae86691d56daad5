/** Reads the next bytes into `into`, from its beginning. @returns how many; 0: there are no more */
export type ReadBytes = (into: Uint8Array) => number;

const FIRST_SIZE = 1 << 20;

/** A part of a file that moves on through it, so that a file of any size needs little memory. */
export class ByteWindow {
  readonly #read: ReadBytes;
  #isAtEnd = false;
  /** The bytes at hand are those from `from` to `to`; both, and this array, change with every `ensure` and `line`. */
  bytes = Buffer.allocUnsafe(FIRST_SIZE);
  from = 0;
  to = 0;
  /** Place in the file of the byte at `from`. */
  offset = 0;

  constructor(read: ReadBytes) {
    this.#read = read;
  }

  /** Sees to it that so many bytes are at hand, where the file has as many. @returns how many are */
  ensure(count: number): number {
    while (this.to - this.from < count && !this.#isAtEnd) this.#fill(count);
    return this.to - this.from;
  }

  /** Moves on by so many of the bytes at hand. */
  skip(count: number): void {
    this.from += count;
    this.offset += count;
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
    if (this.from > 0) {
      this.bytes.copyWithin(0, this.from, this.to);
      this.to -= this.from;
      this.from = 0;
    }
    if (count > this.bytes.length || this.to === this.bytes.length) {
      const larger = Buffer.allocUnsafe(2 * Math.max(count, this.bytes.length));
      this.bytes.copy(larger, 0, 0, this.to);
      this.bytes = larger;
    }
    const got = this.#read(this.bytes.subarray(this.to));
    this.to += got;
    this.#isAtEnd = got === 0;
  }
}

const LINE_FEED = 0x0a;
