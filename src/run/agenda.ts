interface Item {
  readonly atMs: number;
  readonly act: () => void;
}

/** What is to happen at times of the run; at one time, in the order in which it was put down. */
export class Agenda {
  readonly #items: Item[] = [];

  /** When the next is due, ms; Infinity: nothing is. */
  get nextMs(): number {
    return this.#items[0]?.atMs ?? Infinity;
  }

  get length(): number {
    return this.#items.length;
  }

  add(atMs: number, act: () => void): void {
    const place = this.#items.findIndex((item) => item.atMs > atMs);
    this.#items.splice(place < 0 ? this.#items.length : place, 0, { atMs, act });
  }

  /** Does all that is due by `nowMs`, and what that puts down for then. */
  run(nowMs: number): void {
    while (this.#items[0] !== undefined && this.nextMs <= nowMs) this.#items.shift()?.act();
  }

  clear(): void {
    this.#items.length = 0;
  }
}
