/**
 * The newest bytes that were written while no host was there, up to a limit: what lies in the buffer of a bridge, or of
 * a driver, until somebody opens the port.
 */
export class Backlog {
  private ring = Buffer.alloc(0);
  /** Where the oldest byte stands in the ring, and how many there are. */
  private start = 0;
  private held = 0;

  get isEmpty(): boolean {
    return this.held === 0;
  }

  /** So many bytes are kept from here on, of those held too: the newest. 0: none. @returns how many were lost by it */
  limit(bytes: number): number {
    const all = this.take();
    this.ring = Buffer.alloc(bytes);
    return this.push(all);
  }

  /** Keeps the newest. @returns how many were lost by it, old ones included */
  push(bytes: Uint8Array): number {
    const limit = this.ring.length;
    const fresh = bytes.subarray(Math.max(0, bytes.length - limit));
    const tooMany = Math.max(0, this.held + fresh.length - limit);
    this.drop(tooMany);
    this.put(fresh);
    return tooMany + bytes.length - fresh.length;
  }

  /** Adds what there is room for: the host is there and has not yet got what was before. @returns how many were lost */
  append(bytes: Uint8Array): number {
    const taken = Math.min(bytes.length, this.ring.length - this.held);
    this.put(bytes.subarray(0, taken));
    return bytes.length - taken;
  }

  /** Hands the oldest to `send`, which says how many it took, until it takes no more or nothing is left. */
  feed(send: (bytes: Buffer) => number): void {
    while (this.held > 0) {
      const piece = this.ring.subarray(this.start, Math.min(this.ring.length, this.start + this.held));
      const sent = send(piece);
      this.drop(sent);
      if (sent < piece.length) return;
    }
  }

  /** Takes all. */
  take(): Buffer {
    const all = Buffer.alloc(this.held);
    const first = this.ring.copy(all, 0, this.start, Math.min(this.ring.length, this.start + this.held));
    this.ring.copy(all, first, 0, this.held - first);
    this.start = 0;
    this.held = 0;
    return all;
  }

  private put(bytes: Uint8Array): void {
    if (bytes.length === 0) return;
    const at = (this.start + this.held) % this.ring.length;
    const first = Math.min(bytes.length, this.ring.length - at);
    this.ring.set(bytes.subarray(0, first), at);
    this.ring.set(bytes.subarray(first), 0);
    this.held += bytes.length;
  }

  private drop(bytes: number): void {
    if (bytes === 0) return;
    this.start = (this.start + bytes) % this.ring.length;
    this.held -= bytes;
  }
}
