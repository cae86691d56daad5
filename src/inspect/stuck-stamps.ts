import type { Occurrence } from './inspect-report.js';
import { Tally } from './tally.js';

/** A stamp that stands for more than so many times as many epochs as usual stands still. */
const STUCK_TIMES = 3;

/** Time stamps that stood still, while epochs went on. */
export interface Stuck {
  /** Epochs that have the stamp of the one before because of it. */
  readonly epochs: number;
  /** Where the longest time of it began. */
  readonly from: Occurrence;
}

/** Counts for how many epochs each stamp stands: 1 as a rule, 5 of whole seconds at 5 Hz. */
export class StuckStamps {
  readonly #groups = new Tally(1);
  #size = 0;
  #where: (() => Occurrence) | null = null;
  #longest: { readonly size: number; readonly from: Occurrence } | null = null;

  /** @param stepMs since the epoch before @param where asked at most once, at any time later */
  add(stepMs: number, where: () => Occurrence): void {
    if (stepMs !== 0) this.#close();
    this.#where ??= where;
    this.#size += 1;
  }

  #close(): void {
    if (this.#where === null) return;
    this.#groups.add(this.#size);
    if (this.#size > (this.#longest?.size ?? 0)) this.#longest = { size: this.#size, from: this.#where() };
    this.#size = 0;
    this.#where = null;
  }

  /** Null: none stood still. */
  finish(): Stuck | null {
    this.#close();
    if (this.#longest === null) return null;
    const usual = this.#groups.percentile(50) ?? 1;
    const epochs = this.#groups
      .entries()
      .filter(([size]) => size > STUCK_TIMES * usual)
      .reduce((sum, [size, count]) => sum + (size - usual) * count, 0);
    return epochs === 0 ? null : { epochs, from: this.#longest.from };
  }
}
