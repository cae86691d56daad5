import type { Utc } from '../base/time.js';
import type { Scenario } from '../scenario/scenario.js';
import { Journal, type JournalSink, type Planned } from '../truth/journal.js';
import { faultRecord } from '../truth/records.js';
import { Engine, type Step } from './engine.js';
import { Outlet } from './outlet.js';
import { type SkyOfRun, skyOf } from './satellites.js';
import { routeSurroundings, surroundingsEntries } from './surroundings.js';

/** What a run needs beside its scenario. */
export interface RunOptions {
  /** Stands for `start: now`. */
  readonly now: Utc;
  /** Takes the module's bytes, a character each (latin1), as their stop bits end. */
  readonly send: (bytes: string) => void;
  readonly journal?: JournalSink;
  readonly onStep?: (step: Step) => void;
  /** Raw measurements are wanted in every step's epoch. */
  readonly withObservations?: boolean;
}

/**
 * A module in action: ticks its engine as time passes, hands out each byte when its stop bit has ended, and keeps the
 * journal. Time is told to it; the same scenario gives the same bytes and journal however time comes.
 */
export class ModuleRun {
  readonly startUtc: Utc;
  /** Ticks of the whole run; Infinity for one without end. */
  readonly epochCount: number;
  readonly epochMs: number;
  readonly sky: SkyOfRun;
  readonly #engine: Engine;
  readonly #outlet: Outlet;
  readonly #journal: Journal | null;
  readonly #options: RunOptions;
  #isDrained = false;
  #isStopped = false;
  #endMs = Infinity;
  #nowMs = 0;

  /** @throws LodestubError `almanac.…`, `navigation.…` */
  constructor(scenario: Scenario, options: RunOptions) {
    this.#options = options;
    this.startUtc = scenario.start === 'now' ? options.now : scenario.start;
    const { module, seed, title } = scenario;
    this.epochMs = module.epochMs;
    const durationS = scenario.durationS ?? scenario.trajectory.durationS;
    this.epochCount =
      durationS === Infinity ? Infinity : Math.max(1, Math.ceil((durationS * 1000) / module.epochMs - 1e-6));
    const isWatched = options.journal !== undefined || options.onStep !== undefined;
    this.sky = skyOf(scenario, this.startUtc, durationS);
    const interest = { isWatched, withObservations: options.withObservations ?? false };
    this.#engine = new Engine(scenario, this.startUtc, this.sky, interest);
    this.#outlet = new Outlet(this.#engine.line.byteMs);
    const facts = {
      title,
      seed,
      module: module.name,
      startUtc: this.startUtc,
      baud: module.baud,
      epochMs: module.epochMs,
    };
    this.#journal =
      options.journal === undefined ? null : new Journal(options.journal, facts, this.#plannedBy(scenario));
  }

  /** All has been said, or the run was stopped and what had begun is out. */
  get isOver(): boolean {
    return this.#nowMs >= this.#endMs;
  }

  /** When it is over, ms; Infinity while that is not yet known. */
  get endMs(): number {
    return this.#endMs;
  }

  /** Ticks done so far. */
  get epochsDone(): number {
    return this.#engine.ticks;
  }

  /** When something is due next, ms since the start. */
  get nextMs(): number {
    const tickMs = this.#isDrained || this.#isStopped ? Infinity : this.#engine.ticks * this.epochMs;
    return Math.min(tickMs, this.#outlet.nextMs, this.#endMs);
  }

  /** Lives on until `nowMs`. */
  advanceTo(nowMs: number): void {
    while (!this.#isStopped && this.#engine.ticks < this.epochCount && this.#engine.ticks * this.epochMs <= nowMs) {
      const step = this.#engine.step();
      this.#outlet.push(step.transmissions);
      this.#journal?.add(step);
      this.#options.onStep?.(step);
    }
    if (!this.#isDrained && !this.#isStopped && this.#engine.ticks >= this.epochCount) this.#drain();
    const bytes = this.#outlet.take(nowMs);
    if (bytes !== '') this.#options.send(bytes);
    this.#nowMs = Math.max(this.#nowMs, nowMs);
    this.#journal?.flush(Math.min(nowMs, this.#endMs));
  }

  /** No more ticks: the sentence that is on the line is finished, what waits is not sent. */
  stop(): void {
    if (this.#isDrained && this.isOver) return;
    this.#isStopped = true;
    this.#endMs = Math.min(this.#endMs, this.#outlet.stopAfter(this.#nowMs));
    this.#journal?.stopAfter(this.#nowMs);
  }

  /** A host came, went or set its speed, by the clock at `nowMs`. */
  noteHost(event: object, nowMs: number): void {
    this.#journal?.addHost(Math.max(nowMs, this.#nowMs), event);
  }

  /** Ends at once: what of a sentence is not out stays unsent. */
  abort(): void {
    this.stop();
    this.#outlet.cut(this.#nowMs);
    this.#endMs = this.#nowMs;
  }

  /** Writes the journal's last line; the run must be over. */
  finish(): void {
    this.#journal?.end(this.#endMs);
  }

  /** What the journal records of the timeline. */
  #plannedBy(scenario: Scenario): Planned[] {
    const faults = this.#engine.occurrences.map((occurrence) => ({
      beginMs: occurrence.beginMs,
      endMs: occurrence.endMs,
      record: (atMs: number, phase: 'begin' | 'end') => faultRecord(atMs, phase, occurrence),
    }));
    return [...routeSurroundings(scenario), ...faults, ...surroundingsEntries(scenario)];
  }

  #drain(): void {
    this.#isDrained = true;
    const lastMs = this.epochCount * this.epochMs;
    const rest = this.#engine.drain();
    this.#outlet.push(rest.transmissions);
    this.#endMs = Math.max(lastMs, this.#engine.line.endMs);
    this.#journal?.add(rest);
  }
}
