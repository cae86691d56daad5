import { LodestubError } from '../base/error.js';
import type { Utc } from '../base/time.js';
import type { Dropped } from '../emit/line/transmission.js';
import type { HostEvent, ModulePort, PortEvent } from '../emit/ports/port.js';
import type { FaultKind } from '../faults/fault.js';
import { restart } from '../faults/kinds/restart.js';
import { isOfStage, type Occurrence } from '../faults/occurrence.js';
import { needsReceiver } from '../scenario/recording.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/surroundings.js';
import { Journal, type JournalSink } from '../truth/journal.js';
import { commandRecord, eventRecord, faultRecord, heardRecord, lineRecord } from '../truth/records.js';
import { Agenda } from './agenda.js';
import { Delivery } from './delivery.js';
import type { LineEngine } from './line-engine.js';
import { makeEngine } from './make-engine.js';
import type { EpochStep, ModuleEvent, Output } from './output.js';
import { PortFaults, type VainEvent } from './port-faults.js';
import type { SkyOfRun } from './satellites.js';
import { type PlannedStop, stopsOf } from './stops.js';
import { routeSurroundings, type SurroundingsEntry } from './surroundings.js';

/** What a run needs beside its scenario. */
export interface RunOptions {
  /** Stands for `start: now`. */
  readonly now: Utc;
  /** Takes the module's bytes, a character each (latin1), as the host gets them. */
  readonly send: (bytes: string) => void;
  readonly journal?: JournalSink;
  readonly onStep?: (step: EpochStep) => void;
  /** Takes each sentence, or part of one, that never goes out. */
  readonly onDropped?: (loss: Dropped) => void;
  /** Raw measurements are wanted in every step's epoch. */
  readonly withObservations?: boolean;
  /** Living on has failed where nobody waits for it: what was to be written could not be. Default: it is thrown. */
  readonly failed?: (error: Error) => void;
  /** What port faults act on, and what is told of the line's speed. */
  readonly port?: ModulePort;
}

/**
 * What comes from outside takes effect at a whole multiple of it, ms: the module has been thought through up to there,
 * never further.
 */
const TICK_MS = 20;

/**
 * A module in action: goes on with its engine as time passes, hands out each byte when the host gets it, and keeps the
 * journal. Time is told to it; the same scenario and inputs give the same bytes and journal however time comes.
 */
export class ModuleRun {
  readonly startUtc: Utc;
  /** Epochs of the whole run at the module's own rate; Infinity: it has no end, or nobody knows how many they are. */
  readonly epochCount: number;
  /** Interval of epochs at the start, ms. */
  readonly epochMs: number;
  readonly sky: SkyOfRun;
  /** The port is away: there is nothing to open. */
  isPortAway = false;
  readonly #engine: LineEngine;
  readonly #delivery: Delivery;
  readonly #portFaults: PortFaults;
  /** Changes of the line's speed that the port is still to be told of. */
  readonly #speeds = new Agenda();
  readonly #journal: Journal | null;
  readonly #options: RunOptions;
  readonly #scenario: Scenario;
  /** No epoch is at this time or later, ms. */
  readonly #lastMs: number;
  /** Where the timeline ends the run, as far as that is to come. */
  readonly #stops: PlannedStop[];
  /** It is just living on. */
  #isLiving = false;
  #isDrained = false;
  #isStopped = false;
  #endMs = Infinity;
  #nowMs = 0;
  /** While port faults act, the time that they do so at, ms: what comes of it is on record at that time. */
  #faultMs: number | null = null;

  /** @throws LodestubError `almanac.…`, `navigation.…`, `replay.…` */
  constructor(scenario: Scenario, options: RunOptions) {
    this.#options = options;
    this.#scenario = scenario;
    const { module, seed, title, source } = scenario;
    const isWatched = options.journal !== undefined || options.onStep !== undefined;
    const interest = { isWatched, withObservations: options.withObservations ?? false };
    const { engine, startUtc, epochMs, epochCount, lastMs, sky, recording } = makeEngine(
      scenario,
      options.now,
      interest,
    );
    this.#engine = engine;
    this.startUtc = startUtc;
    this.epochMs = epochMs;
    this.epochCount = epochCount;
    this.#lastMs = lastMs;
    this.#stops = stopsOf(scenario);
    this.sky = sky;
    this.#delivery = new Delivery(options.send, module.bridge);
    this.#portFaults = new PortFaults(options.port ?? null, {
      bunch: (bunching) => this.#delivery.bunch(bunching ?? module.bridge),
      inVain: (event) => this.notePort(event, this.#nowMs),
      backlogBytes: module.backlogBytes,
    });
    const facts = { title, seed, module: module.name, startUtc, baud: module.baud, epochMs, source, recording };
    this.#journal = options.journal === undefined ? null : new Journal(options.journal, facts);
    for (const planned of [...routeSurroundings(scenario), ...this.#engine.surroundings]) {
      this.#journal?.plan(planned);
    }
  }

  /** All has been said, or the run was stopped and what had begun is out. */
  get isOver(): boolean {
    return this.#nowMs >= this.#endMs;
  }

  /** When it is over, ms; Infinity while that is not yet known. */
  get endMs(): number {
    return this.#endMs;
  }

  /** Epochs done so far. */
  get epochsDone(): number {
    return this.#engine.ticks;
  }

  /** When the next epoch is due, ms; Infinity: none is. */
  get nextEpochMs(): number {
    return this.#isDrained || this.#isStopped ? Infinity : this.#engine.nextEpochMs;
  }

  /** Up to here the module has been thought through: what comes now takes effect then, ms. */
  get reachedMs(): number {
    return this.#engine.nowMs;
  }

  /** Speed of the module's line, baud. */
  get baud(): number {
    return this.#engine.baud;
  }

  /** When something is due next, ms since the start. */
  get nextMs(): number {
    const engineMs = this.#isDrained || this.#isStopped ? Infinity : this.#engine.nextMs;
    const ownMs = Math.min(this.#stopMs, this.#endMs);
    return Math.min(engineMs, this.#delivery.nextMs, this.#portFaults.nextMs, this.#speeds.nextMs, ownMs);
  }

  /** When the timeline ends the run next, ms. */
  get #stopMs(): number {
    return this.#stops[0]?.atMs ?? Infinity;
  }

  /** Lives on until `nowMs`. */
  advanceTo(nowMs: number): void {
    this.#isLiving = true;
    try {
      this.#advanceTo(nowMs);
    } finally {
      this.#isLiving = false;
    }
  }

  /**
   * Lives on to the present, before something comes from outside: the tick that it takes effect at is the next one by
   * the clock. Something that comes of the run's own doing, such as a write, finds it living already.
   */
  catchUp(nowMs: number): void {
    if (this.#isLiving || this.isOver || nowMs <= this.#nowMs) return;
    try {
      this.advanceTo(nowMs);
    } catch (error) {
      const { failed } = this.#options;
      if (failed === undefined) throw error;
      failed(error as Error);
    }
  }

  #advanceTo(nowMs: number): void {
    while (!this.#isDrained && !this.#isStopped && nowMs - this.#nowMs > LONGEST_MS) {
      this.#advance(this.#nowMs + LONGEST_MS);
    }
    this.#advance(nowMs);
  }

  #advance(nowMs: number): void {
    for (let next = this.#stops[0]; next !== undefined && next.atMs <= nowMs && !this.isOver; next = this.#stops[0]) {
      this.#goOn(next.atMs);
      this.#stops.shift();
      if (next.stop === 'at-once') this.#cutAt(next.atMs);
      else this.#stopAt(next.atMs);
    }
    this.#goOn(nowMs);
    this.#journal?.flush(Math.min(nowMs, this.#endMs));
  }

  #goOn(nowMs: number): void {
    if (!this.#isDrained && !this.#isStopped) {
      const isLast = nowMs >= this.#lastMs;
      const lastEpochMs = isLast ? this.#lastMs - SHORTEST_MS : nowMs;
      this.#engine.advance(Math.min(nextTick(nowMs), this.#lastMs, this.#stopMs), lastEpochMs);
      if (this.#engine.isOver) this.#end(0);
      else if (isLast) this.#end(this.#lastMs);
      this.#takeOutput();
    }
    this.#deliver(nowMs);
    if (nowMs >= this.#endMs) this.#delivery.flush();
    this.#nowMs = Math.max(this.#nowMs, nowMs);
  }

  /** No more epochs from the next tick on: the sentence on the line is finished then, what waits is not sent. */
  stop(): void {
    const atMs = nextTick(this.#nowMs);
    if (this.#isStopped || this.isOver || this.#stopMs <= atMs) return;
    this.#stops.unshift({ atMs, stop: 'after-sentence' });
    this.noteControl({ do: 'end', stop: 'after-sentence', effectMs: atMs });
  }

  /** What is on the line at a time, up to which all has been thought through, is the last. */
  #stopAt(atMs: number): void {
    this.#isStopped = true;
    this.#endMs = Math.min(this.#endMs, Math.max(atMs, this.#delivery.stopAfter(atMs)));
    this.#journal?.stopAfter(atMs);
  }

  /** A host came, went or set its speed, by the clock at `nowMs`. */
  noteHost(event: HostEvent, nowMs: number): void {
    this.catchUp(nowMs);
    const atMs = Math.max(this.#faultMs ?? nowMs, this.#nowMs);
    this.#journal?.note(atMs, eventRecord('host', atMs, event));
    if (event.event === 'speed') this.#delivery.setHostBaud(event.baud, atMs);
    const { onOpen } = this.#scenario.module;
    // A recording has no module that could start anew.
    if (this.#scenario.recording !== null) return;
    if (event.event === 'open' && onOpen !== null) this.start(restart, { start: onOpen, off: 0, cut: 'at-once' }, null);
  }

  /** The port went, came back, refuses hosts, or cannot do what a fault asks for, by the clock at `nowMs`. */
  notePort(event: PortEvent | VainEvent, nowMs: number): void {
    const atMs = Math.max(this.#faultMs ?? nowMs, this.#nowMs);
    this.#journal?.note(atMs, eventRecord('port', atMs, event));
    if (event.event === 'gone' || event.event === 'back') this.isPortAway = event.event === 'gone';
    // Nobody has set up what is there anew.
    if (event.event === 'back') this.#delivery.setHostBaud(null, atMs);
  }

  /** Something was done by hand that is none of the module's business, such as a pause. */
  noteControl(event: object): void {
    this.#journal?.note(this.#nowMs, eventRecord('control', this.#nowMs, event));
  }

  /** The host has sent bytes, by the clock at `nowMs`: they take effect at the next tick. */
  hear(bytes: Uint8Array, nowMs = this.#nowMs): void {
    this.catchUp(nowMs);
    if (this.#isDrained || this.#isStopped) return;
    const heard = this.#delivery.hear(bytes, this.#engine.baud);
    if (heard.length === 0) return;
    const atMs = this.#engine.nowMs;
    this.#journal?.note(atMs, heardRecord(atMs, heard));
    this.#engine.hear(heard);
  }

  /**
   * Starts a fault by hand, at the next tick.
   * @param forS s; null: as long as its kind says, or until it is cleared
   * @returns null: the run is over
   * @throws LodestubError `replay.no-receiver` for a fault of signal or receiver, where a recording is played
   */
  start(fault: FaultKind, settings: unknown, forS: number | null): Occurrence | null {
    if (this.#isDrained || this.#isStopped) return null;
    if (this.#scenario.recording !== null) checkFault(fault);
    const occurrence = this.#engine.start(fault, settings, forS);
    this.#takeOutput();
    return occurrence;
  }

  /**
   * Other surroundings by hand, from the next tick on.
   * @returns null: the run is over
   * @throws LodestubError `replay.no-receiver`
   */
  surround(surroundings: Surroundings, forS: number | null): SurroundingsEntry | null {
    if (this.#isDrained || this.#isStopped) return null;
    const entry = this.#engine.surround(surroundings, forS);
    this.#takeOutput();
    return entry;
  }

  /** Ends a fault, or surroundings, at the next tick. @returns false: there is none of this id */
  clear(id: string): boolean {
    return !this.#isDrained && !this.#isStopped && this.#engine.clear(id);
  }

  /** Ends at once: what of a sentence is not out stays unsent. */
  abort(): void {
    if (this.isOver) return;
    // A timeline keeps times to the microsecond; what is due at this instant has been done.
    this.#nowMs = Math.floor(this.#nowMs * 1000 + 1) / 1000;
    this.#deliver(this.#nowMs);
    this.#cutAt(this.#nowMs);
    this.noteControl({ do: 'end', stop: 'at-once', effectMs: this.#nowMs });
  }

  #cutAt(atMs: number): void {
    this.#stopAt(atMs);
    this.#delivery.cut(atMs);
    this.#delivery.flush();
    this.#endMs = atMs;
  }

  /** Writes the journal's last line, and frees what the run holds; the run must be over. */
  finish(): void {
    this.#engine.close();
    this.#journal?.end(this.#endMs);
  }

  /** Hands on what the engine has brought about. */
  #takeOutput(): void {
    const out = this.#engine.take();
    this.#delivery.push(out.transmissions);
    this.#record(out);
    for (const occurrence of out.begun) if (isOfStage(occurrence, 'port')) this.#portFaults.add(occurrence);
    for (const event of out.events) this.#see(event);
    if (this.#options.onStep !== undefined) for (const step of out.epochs) this.#options.onStep(step);
    if (this.#options.onDropped !== undefined) for (const loss of out.dropped) this.#options.onDropped(loss);
  }

  #record(out: Output): void {
    const journal = this.#journal;
    if (journal === null) return;
    for (const occurrence of out.begun) {
      journal.plan({
        beginMs: occurrence.beginMs,
        get endMs() {
          return occurrence.endMs;
        },
        record: (atMs, phase) => faultRecord(atMs, phase, occurrence),
      });
    }
    for (const entry of out.surroundings) journal.plan(entry);
    journal.add(out);
    for (const event of out.events) {
      const { atMs } = event;
      if (event.type === 'line') journal.note(atMs, lineRecord(atMs, event.baud));
      else journal.note(atMs, commandRecord(atMs, event.command, event.isBusy));
    }
  }

  #see(event: ModuleEvent): void {
    if (event.type === 'line') this.#speeds.add(event.atMs, () => this.#options.port?.setSpeed?.(event.baud));
  }

  /** Lets the host have what is due by `nowMs`, and what happens to the port happen between its bytes. */
  #deliver(nowMs: number): void {
    for (;;) {
      const atMs = Math.min(this.#portFaults.nextMs, this.#speeds.nextMs);
      if (atMs > nowMs || atMs === Infinity) break;
      this.#delivery.deliver(atMs);
      this.#speeds.run(atMs);
      this.#faultMs = atMs;
      this.#portFaults.act(atMs);
      this.#faultMs = null;
    }
    this.#delivery.deliver(nowMs);
  }

  /** No epoch comes any more: what waits is sent. @param leastMs the run lasts at least so long, ms */
  #end(leastMs: number): void {
    this.#isDrained = true;
    this.#engine.drain();
    this.#endMs = Math.max(leastMs, this.#engine.doneMs);
  }
}

/** Times of a recording are kept to this, ms; those of a simulation are whole ms. */
const SHORTEST_MS = 0.0005;

/** @throws LodestubError `replay.no-receiver` */
function checkFault(fault: FaultKind): void {
  if (!needsReceiver(fault)) return;
  throw new LodestubError({
    code: 'replay.no-receiver',
    path: fault.name,
    summary: 'this fault acts on a receiver, and a recording has none',
    hint: 'Faults of sentences, bytes and the port act on a recording.',
  });
}

/** A longer time is gone through in pieces, so that what it brings need not be held all at once, ms. */
const LONGEST_MS = 10_000;

/** The end of the tick that an instant falls into, ms. */
function nextTick(nowMs: number): number {
  return (Math.floor(nowMs / TICK_MS) + 1) * TICK_MS;
}
