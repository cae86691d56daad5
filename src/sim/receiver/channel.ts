import type { Stream } from '../../base/random.js';
import type { ChannelState } from '../epoch.js';
import type { SignalKind } from '../signal/signal-kind.js';
import { type Aiding, DWELLS, REACQUISITION_S, searchPasses, syncS, TRACK_DBHZ } from './thresholds.js';

type Passes = Readonly<Record<Aiding, readonly number[]>>;

/** The passes of each kind of signal: many channels share them. */
const PASSES = new Map<SignalKind, Passes>();

function passesOf(kind: SignalKind): Passes {
  const known = PASSES.get(kind);
  if (known !== undefined) return known;
  const passes = {
    none: searchPasses(kind, 'none'),
    almanac: searchPasses(kind, 'almanac'),
    precise: searchPasses(kind, 'precise'),
    'handed-over': searchPasses(kind, 'handed-over'),
  };
  PASSES.set(kind, passes);
  return passes;
}

/** One signal's channel: search, lock, bit synchronisation. Times are seconds since the scenario's start. */
export class Channel {
  readonly #stream: Stream;
  readonly #passes: Passes;
  readonly #syncS: number;
  #lockedAtS: number | null = null;
  #lostAtS = -Infinity;
  /** When the search pass in progress meets the signal, and how long the pass takes; null: not searching. */
  #hitS: number | null = null;
  #passS = 0;
  /** Which of the dwells the pass in progress takes. */
  #dwell = 0;
  /** Where in the search space the signal lies, [0, 1): chance, and the same in every pass of a search. */
  #place = 0;
  /** A pass of the present search did not find the signal. */
  #hasMissed = false;
  #decodableSinceS: number | null = null;
  #weakUntilS = -Infinity;

  /** @param decodeDbHz C/N0 from which its message can be read; Infinity: it is not read */
  constructor(
    stream: Stream,
    readonly kind: SignalKind,
    private readonly decodeDbHz = Infinity,
  ) {
    this.#stream = stream;
    this.#passes = passesOf(kind);
    this.#syncS = syncS(kind);
  }

  /** Occupied: locked, or in a search pass that has not yet missed. With more signals than channels others wait. */
  get isBusy(): boolean {
    return this.#lockedAtS !== null || (this.#hitS !== null && !this.#hasMissed);
  }

  /** Since when the signal is tracked; null: it is not. */
  get lockedAtS(): number | null {
    return this.#lockedAtS;
  }

  /**
   * Since when the message's bits have come without a break; may lie ahead, until when edges are sought; null: they
   * don't.
   */
  get decodableSinceS(): number | null {
    return this.#decodableSinceS;
  }

  /** Bit edges known: the pseudorange can be used. */
  isSynchronised(tS: number): boolean {
    return this.#lockedAtS !== null && tS >= this.#lockedAtS + this.#syncS;
  }

  /** Power off: nothing is tracked, and nothing was a moment ago. */
  reset(): void {
    this.#lockedAtS = null;
    this.#lostAtS = -Infinity;
    this.#hitS = null;
    this.#dwell = 0;
    this.#decodableSinceS = null;
  }

  /** Stops searching: no channel is free. The next turn goes on with the dwell that was due. */
  release(): void {
    this.#hitS = null;
  }

  /** The signal jumps away from the loops. */
  lose(tS: number): void {
    if (this.#lockedAtS === null) return;
    this.#lockedAtS = null;
    this.#lostAtS = tS;
    this.#decodableSinceS = null;
    this.#dwell = 0;
  }

  /**
   * Lives through the time up to the epoch `tS` with the present signal. What is tracked is held down to 17 dB-Hz,
   * and found again only from 20 on: near there a signal drops out for seconds.
   * @param maySearch whether a channel is free for it
   */
  step(tS: number, cn0DbHz: number, aiding: Aiding, maySearch: boolean): ChannelState {
    if (this.#lockedAtS !== null) {
      if (cn0DbHz >= TRACK_DBHZ) {
        this.#demodulate(tS, cn0DbHz);
        return 'tracking';
      }
      this.lose(tS);
    }
    if (cn0DbHz >= TRACK_DBHZ) {
      if (maySearch) this.#search(tS, cn0DbHz, this.#aidingAt(tS, aiding));
      return this.#lockedAtS !== null ? 'tracking' : 'searching';
    }
    this.#hitS = null;
    this.#dwell = 0;
    return 'hidden';
  }

  #aidingAt(tS: number, aiding: Aiding): Aiding {
    return aiding !== 'handed-over' && tS - this.#lostAtS < REACQUISITION_S ? 'precise' : aiding;
  }

  #demodulate(tS: number, cn0DbHz: number): void {
    if (cn0DbHz < this.decodeDbHz) {
      this.#decodableSinceS = null;
      this.#weakUntilS = tS;
    } else if (this.#decodableSinceS === null) {
      this.#decodableSinceS = Math.max((this.#lockedAtS as number) + this.#syncS, this.#weakUntilS);
    }
  }

  #search(tS: number, cn0DbHz: number, aiding: Aiding): void {
    if (this.#hitS === null) {
      this.#place = this.#stream.uniform();
      this.#hasMissed = false;
      this.#begin(tS, aiding);
    }
    while (this.#hitS !== null && this.#hitS <= tS) {
      if (this.#isFound(cn0DbHz)) {
        this.#lockedAtS = this.#hitS;
        this.#hitS = null;
        this.#dwell = 0;
        this.#weakUntilS = -Infinity;
        this.#demodulate(tS, cn0DbHz);
      } else {
        const passEndS = this.#hitS + (1 - this.#place) * this.#passS;
        this.#hasMissed = true;
        this.#dwell++;
        this.#begin(passEndS, aiding);
      }
    }
  }

  /** Begins the pass with the dwell that is due; after the longest that this aiding has, the shortest is. */
  #begin(fromS: number, aiding: Aiding): void {
    const passes = this.#passes[aiding];
    if (this.#dwell >= passes.length) this.#dwell = 0;
    this.#passS = passes[this.#dwell] as number;
    this.#hitS = fromS + this.#place * this.#passS;
  }

  #isFound(cn0DbHz: number): boolean {
    const { neverDbHz, alwaysDbHz } = DWELLS[this.#dwell] as (typeof DWELLS)[number];
    if (cn0DbHz <= neverDbHz) return false;
    return cn0DbHz >= alwaysDbHz || this.#stream.uniform() < (cn0DbHz - neverDbHz) / (alwaysDbHz - neverDbHz);
  }
}
