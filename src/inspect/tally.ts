import { rankOf } from '../statistics/percentile.js';
import type { Spread } from './inspect-report.js';

/** Counts values in steps, so that the memory depends on their range and not on their number. */
export class Tally {
  readonly #step: number;
  readonly #counts = new Map<number, number>();
  #count = 0;

  /** @param step values are rounded to a multiple of it */
  constructor(step: number) {
    this.#step = step;
  }

  /** @param times how often, 1 or more */
  add(value: number, times = 1): void {
    const key = Math.round(value / this.#step);
    this.#counts.set(key, (this.#counts.get(key) ?? 0) + times);
    this.#count += times;
  }

  get count(): number {
    return this.#count;
  }

  /** Value and how often, ascending. */
  entries(): [value: number, count: number][] {
    return [...this.#counts].sort(([a], [b]) => a - b).map(([key, count]) => [clean(key * this.#step), count]);
  }

  /**
   * The smallest value with so many percent at or below it, by nearest rank; null: there is none.
   * @param percent 0 to 100
   */
  percentile(percent: number): number | null {
    const rank = rankOf(this.#count, percent);
    let seen = 0;
    for (const [value, count] of this.entries()) {
      seen += count;
      if (seen >= rank) return value;
    }
    return null;
  }

  spread(): Spread | null {
    const [least, median, greatest] = [this.entries()[0]?.[0], this.percentile(50), this.percentile(100)];
    return least === undefined || median === null || greatest === null ? null : { least, median, greatest };
  }
}

/** Without the dust of binary fractions: 0.30000000000000004 is 0.3. */
function clean(value: number): number {
  return Number(value.toFixed(9));
}
