import type { Dropped, Transmission } from '../emit/line/transmission.js';
import { countBytes } from '../emit/line/transmission.js';
import type { FaultEvent } from '../faults/schedule.js';
import type { Epoch } from '../sim/epoch.js';
import {
  droppedRecord,
  endRecord,
  epochRecord,
  faultRecord,
  hostRecord,
  type RunFacts,
  type RunTotals,
  runRecord,
  transmissionRecord,
} from './records.js';

/** Takes the journal's lines, each without its line feed. */
export type JournalSink = (line: string) => void;

/** What the journal takes in at a tick. */
export interface JournalStep {
  readonly epoch?: Epoch;
  readonly activeFaults?: readonly string[];
  readonly events: readonly FaultEvent[];
  readonly transmissions: readonly Transmission[];
  readonly dropped: readonly Dropped[];
}

interface Entry {
  /** Place in the journal: start time, ms. */
  readonly atMs: number;
  /** Written no earlier, ms: a transmission can be cut short until its end. */
  readonly finalMs: () => number;
  readonly write: () => string | null;
}

/** Within one instant: what begins or is lost comes before the epoch, the epoch before what it sends. */
const RANK = { event: 0, dropped: 1, epoch: 2, sent: 3 } as const;

/**
 * The truth journal: everything that the module did, in order of start time, as JSON Lines. Entries wait until the
 * run's time has passed them, so that a run stopped early has on record just what it did.
 */
export class Journal {
  readonly #sink: JournalSink;
  #waiting: Entry[] = [];
  readonly #totals = { epochs: 0, sentences: 0, bytes: 0, dropped: 0 };

  constructor(sink: JournalSink, facts: RunFacts) {
    this.#sink = sink;
    sink(runRecord(facts));
  }

  /** Takes in a tick. */
  add({ epoch, activeFaults = [], events, transmissions, dropped }: JournalStep): void {
    const entries: (Entry & { rank: number })[] = [];
    const put = (rank: number, atMs: number, write: () => string | null, finalMs = () => atMs) =>
      entries.push({ rank, atMs, write, finalMs });
    for (const event of events) put(RANK.event, event.atMs, () => faultRecord(event));
    for (const loss of dropped) put(RANK.dropped, loss.atMs, () => this.#count({ dropped: 1 }, droppedRecord(loss)));
    if (epoch !== undefined) {
      put(RANK.epoch, epoch.atMs, () => this.#count({ epochs: 1 }, epochRecord(epoch, activeFaults)));
    }
    for (const sent of transmissions) {
      put(
        RANK.sent,
        sent.startMs,
        () => {
          const sentences = sent.kind === 'sentence' ? 1 : 0;
          const record = transmissionRecord(sent);
          return record === null ? null : this.#count({ sentences, bytes: countBytes(sent) }, record);
        },
        () => sent.endMs,
      );
    }
    if (events.length + dropped.length > 0) entries.sort((a, b) => a.atMs - b.atMs || a.rank - b.rank);
    this.#waiting.push(...entries);
  }

  /** A host's coming and going, as noticed at `atMs`. */
  addHost(atMs: number, event: object): void {
    const at = this.#waiting.findIndex((entry) => entry.atMs > atMs);
    const entry = { atMs, finalMs: () => atMs, write: () => hostRecord(atMs, event) };
    this.#waiting.splice(at < 0 ? this.#waiting.length : at, 0, entry);
  }

  /** Writes all that is over by `nowMs`. */
  flush(nowMs: number): void {
    let count = 0;
    for (const entry of this.#waiting) {
      if (entry.finalMs() > nowMs) break;
      count++;
      const line = entry.write();
      if (line !== null) this.#sink(line);
    }
    if (count > 0) this.#waiting = this.#waiting.slice(count);
  }

  /** Forgets what begins at `nowMs` or later: the run stops there. */
  stopAfter(nowMs: number): void {
    this.#waiting = this.#waiting.filter(({ atMs }) => atMs < nowMs);
  }

  /** Writes what still waits, and the last line. */
  end(): RunTotals {
    this.flush(Infinity);
    this.#sink(endRecord(this.#totals));
    return this.#totals;
  }

  #count(more: Partial<RunTotals>, record: string): string {
    for (const key of Object.keys(more) as (keyof RunTotals)[]) this.#totals[key] += more[key] ?? 0;
    return record;
  }
}
