import type { LineState } from '../emit/line/line.js';
import type { Dropped, Transmission } from '../emit/line/transmission.js';
import { countBytes, finalMsOf } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { PlayedEpoch } from './recorded-epoch.js';
import {
  droppedRecord,
  endRecord,
  epochRecord,
  type RunFacts,
  type RunTotals,
  runRecord,
  transmissionRecord,
} from './records.js';

/** Takes the journal's lines, each without its line feed. */
export type JournalSink = (line: string) => void;

/** An epoch, the faults in force at it, and the line by then. */
export interface JournalEpoch {
  readonly epoch: PlayedEpoch;
  readonly faults: readonly Occurrence[];
  readonly line: LineState;
}

/** What the journal takes in of some time of the run. */
export interface JournalStep {
  readonly epochs: readonly JournalEpoch[];
  readonly transmissions: readonly Transmission[];
  readonly dropped: readonly Dropped[];
}

interface Entry {
  /** Place in the journal: start time, ms. */
  readonly atMs: number;
  /** Order within one instant. */
  readonly rank: number;
  /** Written no earlier, ms: a transmission can be cut short until its end. */
  readonly finalMs: () => number;
  readonly write: () => string | null;
}

/** Something planned that begins and ends: a fault, other surroundings. */
export interface Planned {
  readonly beginMs: number;
  readonly endMs: number;
  readonly record: (atMs: number, phase: 'begin' | 'end') => string;
}

/** Within one instant: what is lost comes before the epoch, the epoch before what it sends, then all else. */
const RANK = { dropped: 1, epoch: 2, sent: 3, other: 4 } as const;

/**
 * The truth journal: everything that the module did, in order of start time, as JSON Lines. Entries wait until the
 * run's time has passed them, so that a run stopped early has on record just what it did.
 */
export class Journal {
  readonly #sink: JournalSink;
  #waiting: Entry[] = [];
  /** What is still to begin, in order of time, and what has begun and not ended. */
  #toBegin: Planned[] = [];
  #toEnd: Planned[] = [];
  /** The run's end, once it is known, ms. */
  #endMs = Infinity;
  readonly #totals = { epochs: 0, sentences: 0, bytes: 0, dropped: 0 };

  constructor(sink: JournalSink, facts: RunFacts) {
    this.#sink = sink;
    sink(runRecord(facts));
  }

  /** Something will begin, and end; what begins at the same instant is written in the order of these calls. */
  plan(planned: Planned): void {
    const place = this.#toBegin.findIndex(({ beginMs }) => beginMs > planned.beginMs);
    this.#toBegin.splice(place < 0 ? this.#toBegin.length : place, 0, planned);
  }

  /** Takes in some time of the run. */
  add({ epochs, transmissions, dropped }: JournalStep): void {
    for (const loss of dropped) {
      const write = () => (loss.bytes === 0 ? null : this.#count({ dropped: 1 }, droppedRecord(loss)));
      this.#put(RANK.dropped, loss.atMs, write, () => loss.finalMs ?? loss.atMs);
    }
    for (const { epoch, faults, line } of epochs) {
      const ids = faults.map(({ id }) => id);
      this.#put(RANK.epoch, epoch.atMs, () => this.#count({ epochs: 1 }, epochRecord(epoch, ids, line)));
    }
    for (const sent of transmissions) {
      const write = () => {
        const sentences = sent.kind === 'sentence' ? 1 : 0;
        const record = transmissionRecord(sent);
        return record === null ? null : this.#count({ sentences, bytes: countBytes(sent) }, record);
      };
      this.#put(RANK.sent, sent.startMs, write, () => finalMsOf(sent));
    }
  }

  /** Something else that happened at `atMs`. */
  note(atMs: number, record: string): void {
    this.#put(RANK.other, atMs, () => record);
  }

  /** Writes all that is over by `nowMs`. */
  flush(nowMs: number): void {
    let count = 0;
    for (const entry of this.#waiting) {
      this.#writePlanned(Math.min(nowMs, entry.atMs), entry.atMs <= nowMs);
      if (entry.finalMs() > nowMs) break;
      count++;
      const line = entry.write();
      if (line !== null) this.#sink(line);
    }
    if (count > 0) this.#waiting = this.#waiting.slice(count);
    if (this.#waiting.length === 0) this.#writePlanned(nowMs, false);
  }

  /** Forgets what begins at `nowMs` or later: the run stops there. */
  stopAfter(nowMs: number): void {
    this.#waiting = this.#waiting.filter(({ atMs }) => atMs < nowMs);
    this.#toBegin = this.#toBegin.filter(({ beginMs }) => beginMs < nowMs);
  }

  /** The run is over at `endMs`, and with it the faults in force: writes what still waits, and the last line. */
  end(endMs: number): RunTotals {
    this.#toBegin = this.#toBegin.filter(({ beginMs }) => beginMs < endMs);
    this.#endMs = endMs;
    this.flush(Infinity);
    this.#writePlanned(Infinity, true);
    this.#sink(endRecord(this.#totals));
    return this.#totals;
  }

  /** Puts an entry in its place: nearly always the last. */
  #put(rank: number, atMs: number, write: () => string | null, finalMs = () => atMs): void {
    let place = this.#waiting.length;
    while (place > 0 && isAfter(this.#waiting[place - 1] as Entry, atMs, rank)) place--;
    const entry = { rank, atMs, write, finalMs };
    if (place === this.#waiting.length) this.#waiting.push(entry);
    else this.#waiting.splice(place, 0, entry);
  }

  /** Writes begins and ends before `untilMs`, or with it; at one instant begins come first. */
  #writePlanned(untilMs: number, inclusive: boolean): void {
    for (;;) {
      const begin = this.#toBegin[0];
      const end = earliest(this.#toEnd);
      const beginMs = begin?.beginMs ?? Infinity;
      const endMs = end === undefined ? Infinity : Math.min(end.endMs, this.#endMs);
      const atMs = Math.min(beginMs, endMs);
      if (atMs > untilMs || (atMs === untilMs && !inclusive)) return;
      if (begin !== undefined && beginMs <= endMs) {
        this.#toBegin.shift();
        this.#toEnd.push(begin);
        this.#sink(begin.record(beginMs, 'begin'));
      } else if (end !== undefined) {
        this.#toEnd = this.#toEnd.filter((each) => each !== end);
        this.#sink(end.record(endMs, 'end'));
      } else return;
    }
  }

  #count(more: Partial<RunTotals>, record: string): string {
    for (const key of Object.keys(more) as (keyof RunTotals)[]) this.#totals[key] += more[key] ?? 0;
    return record;
  }
}

function isAfter(entry: Entry, atMs: number, rank: number): boolean {
  return entry.atMs > atMs || (entry.atMs === atMs && entry.rank > rank);
}

/** What ends first; of several at one instant, what began first. */
function earliest(list: readonly Planned[]): Planned | undefined {
  let first = list[0];
  for (const each of list) if (each.endMs < (first as Planned).endMs) first = each;
  return first;
}
