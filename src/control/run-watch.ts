import type { EpochStep } from '../run/output.js';

/** A fault, or surroundings other than the route's, that has begun and is not over. */
export interface InForce {
  /** As in the journal: `3.1`, `live-1.1`. */
  readonly id: string;
  /** The kind of the fault, or of the surroundings. */
  readonly kind: string;
  readonly beginMs: number;
}

/** Epochs over which the load of the line is averaged. */
const LOAD_EPOCHS = 10;

/** Records of the journal that are about something other than what went over the line. */
const TOLD = /^\{"type":"(fault|surroundings|host|port|control|command|line)"/;

interface Record {
  readonly type: string;
  readonly atMs: number;
  readonly id?: string;
  readonly kind?: string;
  readonly surroundings?: string;
  readonly phase?: 'begin' | 'end';
  readonly event?: string;
  readonly baud?: number;
}

/** Who is told: at each epoch, and of each record of the journal but those of epochs and of what was sent. */
export interface WatchListener {
  epoch(step: EpochStep): void;
  record(line: string): void;
}

/** Keeps in view what a run does, for whoever controls it: it takes in the journal, the epochs, and what is sent. */
export class RunWatch {
  /** The last epoch. */
  step: EpochStep | null = null;
  sentBytes = 0;
  lostBytes = 0;
  /** The speed that the host has set, baud; null: none yet. */
  hostBaud: number | null = null;
  readonly #inForce = new Map<string, InForce>();
  readonly #loads: number[] = [];
  readonly #listeners = new Set<WatchListener>();
  #intervalMs: number | null = null;

  /** What is in force, by the host's time, in order of its beginning. */
  get inForce(): readonly InForce[] {
    return [...this.#inForce.values()];
  }

  /** Share of the time that the line is busy, over the last epochs. */
  get load(): number {
    return this.#loads.length === 0 ? 0 : this.#loads.reduce((sum, load) => sum + load, 0) / this.#loads.length;
  }

  /** Between the last two epochs, ms; null before the second. */
  get intervalMs(): number | null {
    return this.#intervalMs;
  }

  listen(listener: WatchListener): void {
    this.#listeners.add(listener);
  }

  forget(listener: WatchListener): void {
    this.#listeners.delete(listener);
  }

  see(step: EpochStep): void {
    if (this.step !== null) this.#intervalMs = step.epoch.atMs - this.step.epoch.atMs;
    this.step = step;
    if (step.epoch.index > 0) this.#loads.push(step.line.load);
    if (this.#loads.length > LOAD_EPOCHS) this.#loads.shift();
    for (const listener of this.#listeners) listener.epoch(step);
  }

  /** So many bytes went out, and so many of them were lost because no host took them. */
  count(sentBytes: number, lostBytes: number): void {
    this.sentBytes += sentBytes;
    this.lostBytes += lostBytes;
  }

  /** Takes a line of the journal. */
  record(line: string): void {
    if (!TOLD.test(line)) return;
    const record = JSON.parse(line) as Record;
    if (record.type === 'fault' || record.type === 'surroundings') this.#turn(record);
    if (record.type === 'host' && record.event === 'speed') this.hostBaud = record.baud ?? null;
    // Nobody has set up anew what has come back.
    if (record.type === 'port' && record.event === 'back') this.hostBaud = null;
    for (const listener of this.#listeners) listener.record(line);
  }

  #turn({ id = '', kind, surroundings, phase, atMs }: Record): void {
    // What the route itself passes through is nothing that anybody started.
    if (id.startsWith('route.')) return;
    if (phase === 'begin') this.#inForce.set(id, { id, kind: kind ?? surroundings ?? '', beginMs: atMs });
    else this.#inForce.delete(id);
  }
}
