import type { Dropped, Transmission } from '../emit/line/transmission.js';
import { countBytes } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { Epoch } from '../sim/epoch.js';
import {
  droppedRecord,
  endRecord,
  epochRecord,
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
  /** In force at the epoch. */
  readonly faults?: readonly Occurrence[];
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

/** Something planned begins or ends. */
interface PlannedTime {
  readonly atMs: number;
  readonly phase: 'begin' | 'end';
  readonly planned: Planned;
}

/** Within one instant: what is lost comes before the epoch, the epoch before what it sends. */
const RANK = { dropped: 1, epoch: 2, sent: 3, host: 4 } as const;

/**
 * The truth journal: everything that the module did, in order of start time, as JSON Lines. Entries wait until the
 * run's time has passed them, so that a run stopped early has on record just what it did.
 */
export class Journal {
  readonly #sink: JournalSink;
  #waiting: Entry[] = [];
  /** Begins and ends still to be written, in order of time. */
  readonly #planned: PlannedTime[];
  readonly #totals = { epochs: 0, sentences: 0, bytes: 0, dropped: 0 };

  /** @param planned all faults and changes of surroundings, in the order of the timeline */
  constructor(sink: JournalSink, facts: RunFacts, planned: readonly Planned[]) {
    this.#sink = sink;
    this.#planned = timesOf(planned);
    sink(runRecord(facts));
  }

  /** Takes in a tick. */
  add({ epoch, faults = [], transmissions, dropped }: JournalStep): void {
    for (const loss of dropped) {
      this.#put(RANK.dropped, loss.atMs, () => this.#count({ dropped: 1 }, droppedRecord(loss)));
    }
    if (epoch !== undefined) {
      const ids = faults.map(({ id }) => id);
      this.#put(RANK.epoch, epoch.atMs, () => this.#count({ epochs: 1 }, epochRecord(epoch, ids)));
    }
    for (const sent of transmissions) {
      const write = () => {
        const sentences = sent.kind === 'sentence' ? 1 : 0;
        const record = transmissionRecord(sent);
        return record === null ? null : this.#count({ sentences, bytes: countBytes(sent) }, record);
      };
      this.#put(RANK.sent, sent.startMs, write, () => sent.endMs);
    }
  }

  /** A host's coming and going, as noticed at `atMs`. */
  addHost(atMs: number, event: object): void {
    this.#put(RANK.host, atMs, () => hostRecord(atMs, event));
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
  }

  /** The run is over at `endMs`, and with it the faults in force: writes what still waits, and the last line. */
  end(endMs: number): RunTotals {
    const left = this.#planned.splice(0);
    const neverBegan = new Set<Planned>();
    for (const time of left) {
      if (time.phase === 'begin' && time.atMs >= endMs) neverBegan.add(time.planned);
      else if (!neverBegan.has(time.planned)) this.#planned.push({ ...time, atMs: Math.min(time.atMs, endMs) });
    }
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

  /** Writes begins and ends before `untilMs`, or with it. */
  #writePlanned(untilMs: number, inclusive: boolean): void {
    while (this.#planned[0] !== undefined) {
      const { atMs } = this.#planned[0];
      if (atMs > untilMs || (atMs === untilMs && !inclusive)) return;
      const { phase, planned } = this.#planned.shift() as PlannedTime;
      this.#sink(planned.record(atMs, phase));
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

/** Begins and ends in order of time; at one instant begins come first. */
function timesOf(all: readonly Planned[]): PlannedTime[] {
  const begins = all.map((planned): PlannedTime => ({ atMs: planned.beginMs, phase: 'begin', planned }));
  const ends = all.map((planned): PlannedTime => ({ atMs: planned.endMs, phase: 'end', planned }));
  return [...begins, ...ends].sort((a, b) => a.atMs - b.atMs);
}
