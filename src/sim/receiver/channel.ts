import type { Stream } from '../../base/random.js';
import type { ChannelState } from '../epoch.js';
import { type Aiding, BIT_SYNC_S, DECODE_DBHZ, REACQUISITION_S, SEARCH, TRACK_DBHZ } from './thresholds.js';

/** One satellite's channel: search, lock, bit synchronisation. Times are seconds since the scenario's start. */
export class Channel {
  readonly #stream: Stream;
  #lockedAtS: number | null = null;
  #lostAtS = -Infinity;
  /** End of the search pass in progress, as far as it meets the signal; null: not searching. */
  #hitS: number | null = null;
  /** A pass of the present search did not find the signal. */
  #hasMissed = false;
  #decodableSinceS: number | null = null;

  constructor(stream: Stream) {
    this.#stream = stream;
  }

  /** Occupied: locked, or in a search pass that has not yet missed. With more satellites than channels others wait. */
  get isBusy(): boolean {
    return this.#lockedAtS !== null || (this.#hitS !== null && !this.#hasMissed);
  }

  /** Since when the message's bits have come without a break; null: they don't. */
  get decodableSinceS(): number | null {
    return this.#decodableSinceS;
  }

  /** Bit edges known: the pseudorange can be used. */
  isSynchronised(tS: number): boolean {
    return this.#lockedAtS !== null && tS >= this.#lockedAtS + BIT_SYNC_S;
  }

  /** Power off: nothing is tracked, and nothing was a moment ago. */
  reset(): void {
    this.#lockedAtS = null;
    this.#lostAtS = -Infinity;
    this.#hitS = null;
    this.#decodableSinceS = null;
  }

  /** Stops searching: no channel is free. */
  release(): void {
    this.#hitS = null;
  }

  /**
   * Lives through the time up to the epoch `tS` with the present signal.
   * @param maySearch whether a channel is free for it
   */
  step(tS: number, cn0DbHz: number, aiding: Aiding, maySearch: boolean): ChannelState {
    if (this.#lockedAtS !== null) this.#track(tS, cn0DbHz);
    if (this.#lockedAtS !== null) return 'tracking';
    if (cn0DbHz < TRACK_DBHZ) {
      this.#hitS = null;
      return 'hidden';
    }
    if (maySearch) this.#search(tS, cn0DbHz, tS - this.#lostAtS < REACQUISITION_S ? 'precise' : aiding);
    return this.#lockedAtS !== null ? 'tracking' : 'searching';
  }

  #track(tS: number, cn0DbHz: number): void {
    const lockedAtS = this.#lockedAtS as number;
    if (cn0DbHz < TRACK_DBHZ) {
      this.#lockedAtS = null;
      this.#lostAtS = tS;
      this.#decodableSinceS = null;
      return;
    }
    if (cn0DbHz < DECODE_DBHZ) this.#decodableSinceS = null;
    else this.#decodableSinceS ??= Math.max(lockedAtS + BIT_SYNC_S, this.#weakUntilS);
    if (cn0DbHz < DECODE_DBHZ) this.#weakUntilS = tS;
  }

  #weakUntilS = -Infinity;

  #search(tS: number, cn0DbHz: number, aiding: Aiding): void {
    const { passS, neverDbHz, alwaysDbHz } = SEARCH[aiding];
    // Where in the search space the signal lies is chance; each pass meets it at the same place.
    if (this.#hitS === null) {
      this.#hitS = tS + this.#stream.uniform() * passS;
      this.#hasMissed = false;
    }
    const found = (cn0DbHz - neverDbHz) / (alwaysDbHz - neverDbHz);
    while (this.#hitS !== null && this.#hitS <= tS) {
      if (this.#stream.uniform() < found) {
        this.#lockedAtS = this.#hitS;
        this.#hitS = null;
        this.#weakUntilS = -Infinity;
        this.#track(tS, cn0DbHz);
      } else {
        this.#hitS += passS;
        this.#hasMissed = true;
      }
    }
  }
}
