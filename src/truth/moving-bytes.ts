const FIRST_SIZE = 1 << 20;

/** A part of a long string of bytes that moves on through it, so that one of any length needs little memory. */
export class MovingBytes {
  /** The bytes at hand are those from `from` to `to`; both, and this array, change as it moves on. */
  bytes = Buffer.allocUnsafe(FIRST_SIZE);
  from = 0;
  to = 0;
  /** Place in the whole of the byte at `from`. */
  offset = 0;

  /** Moves on by so many of the bytes at hand. */
  skip(count: number): void {
    this.from += count;
    this.offset += count;
  }

  /** Moves the bytes at hand to the array's beginning. */
  protected compact(): void {
    if (this.from === 0) return;
    this.bytes.copyWithin(0, this.from, this.to);
    this.to -= this.from;
    this.from = 0;
  }

  /** Takes a larger array, of twice that size; the bytes at hand are at its beginning. */
  protected grow(size: number): void {
    const larger = Buffer.allocUnsafe(2 * size);
    this.bytes.copy(larger, 0, 0, this.to);
    this.bytes = larger;
  }
}
