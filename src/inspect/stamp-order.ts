import { stepOfDayMs } from '../base/step-of-day.js';
import type { Decoded } from '../grammar/decode.js';

/** What a stamp is to those before; `back`: the clock stepped back, which one stale sentence does not make. */
export type StampVerdict = 'on' | 'back';

/** Holds the times of sentences against each other. */
export class StampOrder {
  /** The last stamp of each formatter, and the latest of all. */
  readonly #stamps = new Map<string, number>();
  #latestMs: number | null = null;

  /** @param timeMs time of day */
  put(of: Decoded['of'], timeMs: number): StampVerdict {
    const own = this.#stamps.get(of);
    const isOwnBack = own !== undefined && stepOfDayMs(own, timeMs) < 0;
    const isBehind = this.#latestMs !== null && stepOfDayMs(this.#latestMs, timeMs) < 0;
    if (isOwnBack && isBehind) {
      // Once for all sentences that follow.
      this.#stamps.clear();
      this.#stamps.set(of, timeMs);
      this.#latestMs = timeMs;
      return 'back';
    }
    this.#stamps.set(of, timeMs);
    if (!isBehind) this.#latestMs = timeMs;
    return 'on';
  }
}
