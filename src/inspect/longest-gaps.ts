import type { Occurrence } from './inspect-report.js';

/** Gaps that are told of, the longest. */
const MOST_GAPS = 20;

/** Keeps the longest steps from epoch to epoch. */
export class LongestGaps {
  #kept: (Occurrence & { readonly lastsS: number })[] = [];
  #leastS = 0;

  /** @param where asked where it is kept */
  add(lastsS: number, where: () => Occurrence): void {
    if (lastsS <= this.#leastS) return;
    this.#kept.push({ ...where(), lastsS });
    if (this.#kept.length < 2 * MOST_GAPS) return;
    this.#kept = [...this.#kept].sort((a, b) => b.lastsS - a.lastsS).slice(0, MOST_GAPS);
    this.#leastS = this.#kept.at(-1)?.lastsS as number;
  }

  /** Those above a limit, as they stand in the stream. */
  longest(aboveS: number): (Occurrence & { readonly lastsS: number })[] {
    return this.#kept
      .filter(({ lastsS }) => lastsS > aboveS)
      .sort((a, b) => b.lastsS - a.lastsS)
      .slice(0, MOST_GAPS)
      .sort((a, b) => a.line - b.line);
  }
}
