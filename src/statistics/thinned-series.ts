/**
 * Some of an endless series, evenly chosen: every `step`th value from the first on, never more than the limit. When it
 * is full it drops every second one and doubles the step, so that memory does not grow with the series.
 */
export class ThinnedSeries<T> {
  readonly #limit: number;
  #values: T[] = [];
  #step = 1;
  #count = 0;

  /** @param limit 2 or more */
  constructor(limit: number) {
    if (!(limit >= 2)) throw new RangeError(`a series keeps 2 values or more, not ${limit}`);
    this.#limit = limit;
  }

  add(value: T): void {
    if (this.#count++ % this.#step !== 0) return;
    if (this.#values.length >= this.#limit) {
      this.#values = this.#values.filter((_, index) => index % 2 === 0);
      this.#step *= 2;
      if ((this.#count - 1) % this.#step !== 0) return;
    }
    this.#values.push(value);
  }

  /** Those that are kept, in order: number `i` was number `i * step` of the series. */
  get values(): readonly T[] {
    return this.#values;
  }

  /** Every so-manieth is kept: 1, 2, 4… */
  get step(): number {
    return this.#step;
  }

  /** How many there were in all. */
  get count(): number {
    return this.#count;
  }
}
