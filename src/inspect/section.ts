import type { Heard, HeardEpoch } from '../grammar/heard-epoch.js';
import type { Piece } from '../grammar/splitter.js';
import type { Item, Occurrence } from './inspect-report.js';
import type { StampVerdict } from './stamp-order.js';
import type { StreamClock, TimedEpoch } from './stream-clock.js';

/** What is known of a stream beside its bytes. */
export interface StreamOptions {
  /** As it is shown. */
  readonly name: string;
  readonly kind: 'file' | 'standard-input' | 'port';
  readonly baud?: number | null;
  readonly isBaudFound?: boolean;
  /** Where the antenna truly is. */
  readonly reference?: { readonly latitudeDeg: number; readonly longitudeDeg: number; readonly altitudeMslM?: number };
  /** Times of arrival are UTC, ms since 1970, by this machine's clock: of a live port. */
  readonly isArrivalUtc?: boolean;
  /** When the port was opened, in the ms of arrival. */
  readonly openedMs?: number;
  /** When the file was last written to, UTC, ms since 1970. */
  readonly fileMs?: number;
}

/** How a stream ended. */
export interface StreamEnd {
  /** When the listening to a live port ended, in the ms of arrival; null: nobody listened. */
  readonly endedMs: number | null;
  /** Why the port went before that, a clause; null: it did not. */
  readonly gone: string | null;
}

/** One part of an inspection. What it keeps must not grow with the stream. */
export interface Section<Part> {
  /** A sentence, whatever its checksum. @param stamp what its time is to those before; null: it tells none */
  heard?(heard: Heard, stamp: StampVerdict | null): void;
  /** What is no sentence. */
  noise?(piece: Piece): void;
  /** An epoch, once it is over: after all its sentences, and the one that began the next. */
  epoch?(timed: TimedEpoch): void;
  finish(end: StreamEnd): { readonly part: Part; readonly items: readonly Item[] };
}

/** The first places at which something was met, and how often. */
export class Occurrences {
  count = 0;
  readonly examples: Occurrence[] = [];
  readonly #clock: StreamClock;
  readonly #most: number;

  constructor(clock: StreamClock, most = 5) {
    this.#clock = clock;
    this.#most = most;
  }

  /** @param epoch the one that it is of, where that is known */
  add(piece: Piece, epoch?: HeardEpoch): void {
    this.count += 1;
    if (this.examples.length < this.#most) this.examples.push(this.#clock.occurrence(piece, epoch));
  }
}
