import { RandomStreams } from '../base/random.js';
import { Line, type LineOptions, type LineState } from '../emit/line/line.js';
import type { Transmission } from '../emit/line/transmission.js';
import type { FaultKind } from '../faults/fault.js';
import {
  isOfStage,
  lengthS,
  milliseconds,
  type Occurrence,
  occurrenceOf,
  occurrencesOf,
} from '../faults/occurrence.js';
import { FaultSchedule } from '../faults/schedule.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/surroundings.js';
import { Agenda } from './agenda.js';
import { BY_HAND_RANK, countByHand, nameByHand } from './by-hand.js';
import { newOutput, type Output } from './output.js';
import type { SurroundingsEntry } from './surroundings.js';
import { TellTaleProof } from './tell-tale-proof.js';

/**
 * A line on which something speaks at its epochs, and faults act on it by a timeline or by hand: what a module that is
 * simulated and a recording that is played have in common. Without clock and port: bytes come with their times, and
 * what comes from outside is done at the time that has been reached. The same scenario, start, seed and inputs give the
 * same output, however time comes.
 */
export abstract class LineEngine {
  protected readonly scenario: Scenario;
  protected readonly streams: RandomStreams;
  protected readonly line: Line;
  protected readonly schedule: FaultSchedule;
  /** What comes from the host by the timeline. */
  protected readonly plan = new Agenda();
  /** What the speaker itself has to do. */
  protected readonly agenda = new Agenda();
  protected out: Output = newOutput();
  readonly #proof = new TellTaleProof();
  /** Everything before it has been done. */
  #nowMs = 0;
  /** When the next epoch is due, ms; Infinity: none is. */
  protected dueEpochMs = 0;
  protected lastEpochMs = -1;
  /** How long the line had been busy by then. */
  #busyMs = 0;
  #byHand: number;

  constructor(scenario: Scenario, line: LineOptions) {
    this.scenario = scenario;
    const { timeline } = scenario;
    this.streams = new RandomStreams(scenario.seed);
    const planned = timeline.filter((entry) => entry.kind === 'fault');
    this.schedule = new FaultSchedule(planned.map((entry) => occurrencesOf(entry, this.streams)));
    this.line = new Line(line);
    for (const entry of timeline) {
      if (entry.kind === 'command') this.plan.add(milliseconds(entry.atS), () => this.heard(entry.bytes));
      if (entry.kind === 'clear') this.plan.add(milliseconds(entry.atS), () => this.#clear(entry.entry));
    }
    this.#byHand = countByHand(timeline);
  }

  /** Epochs done so far. */
  abstract get ticks(): number;

  /** Surroundings that were planned, or made by hand so far; their ends may move. */
  abstract get surroundings(): readonly SurroundingsEntry[];

  /**
   * Other surroundings, by hand, at the time that has been reached.
   * @throws LodestubError `replay.no-receiver`
   */
  abstract surround(surroundings: Surroundings, forS: number | null): SurroundingsEntry;

  /** Frees what it holds; it is not to be used any more. Nothing goes out after what has. */
  close(): void {
    this.#proof.finish();
  }

  /** An epoch is due. */
  protected abstract epoch(atMs: number): void;

  /** Bytes of the host are there. */
  protected abstract heard(bytes: Uint8Array): void;

  /** The line's speed while no fault sets another. */
  protected abstract ownBaud(): number;

  /** A fault that acts on more than line and sentences begins, or is over. */
  protected turned(_occurrence: Occurrence, _phase: 'begin' | 'end'): void {}

  /** Whether something else of this name is in force, that {@link clearOther} would end. */
  protected hasOther(_name: string): boolean {
    return false;
  }

  protected clearOther(_name: string): void {}

  /** When the next epoch is due, ms; Infinity: none is. */
  get nextEpochMs(): number {
    return this.dueEpochMs;
  }

  /** Everything before it has been done, ms. */
  get nowMs(): number {
    return this.#nowMs;
  }

  /** When something is next to be done, ms. */
  get nextMs(): number {
    return Math.min(this.#dueMs(), this.line.nextMs, this.#overMs());
  }

  /** There are no more epochs, and all has gone out. */
  get isOver(): boolean {
    return this.#nowMs >= this.#overMs();
  }

  /** When all that has been done so far is over: the last epoch, and the last stop bit, ms. */
  get doneMs(): number {
    return Math.max(this.line.endMs, this.lastEpochMs);
  }

  /** Speed of the line, and of a byte on it. */
  get baud(): number {
    return this.line.baud;
  }

  /** Takes what has come about since the last call. */
  take(): Output {
    const { out } = this;
    this.out = newOutput();
    return out;
  }

  /**
   * Does all that happens, and sends all that begins, before `untilMs`.
   * @param lastEpochMs an epoch later than it is left for another time, and with it all that comes after
   */
  advance(untilMs: number, lastEpochMs: number): void {
    for (;;) {
      const limitMs = this.dueEpochMs > lastEpochMs ? Math.min(untilMs, this.dueEpochMs) : untilMs;
      const dueMs = this.#dueMs();
      // Sending may bring up something that is due earlier.
      if (!this.transmit(Math.min(dueMs, limitMs))) continue;
      const stopMs = Math.min(limitMs, this.#overMs());
      if (dueMs < stopMs) this.#happen(dueMs);
      else {
        this.#nowMs = Math.max(this.#nowMs, stopMs);
        this.#proof.settle(this.#nowMs);
        return;
      }
    }
  }

  /** Sends what still waits after the last epoch. */
  drain(): void {
    this.dueEpochMs = Infinity;
    while (!this.line.isEmpty) {
      const dueMs = this.#dueMs();
      if (dueMs <= this.line.nextMs) this.#happen(dueMs);
      else this.transmit(dueMs, 1);
    }
    this.#proof.finish();
  }

  // What is done from outside is put down for the time that has been reached, where the timeline's entries of that time
  // stand too: of several things at one time the order is the same when the timeline repeats them.

  /** Bytes have come from the host, at the time that has been reached. */
  hear(bytes: Uint8Array): void {
    this.plan.add(this.#nowMs, () => this.heard(bytes));
  }

  /**
   * Starts a fault by hand, at the time that has been reached.
   * @param forS how long, s; null: as long as its kind says, or until it is cleared
   */
  start(fault: FaultKind, settings: unknown, forS: number | null): Occurrence {
    const name = this.nameByHand();
    const planned = { name, place: BY_HAND_RANK + this.#byHand, fault, settings, forS };
    const endMs = milliseconds(this.#nowMs / 1000 + lengthS(planned));
    const occurrence = occurrenceOf(planned, 1, [this.#nowMs, endMs], this.streams);
    this.schedule.plan(occurrence);
    return occurrence;
  }

  /**
   * Ends a fault, or surroundings, at the time that has been reached: just as one that was to end then.
   * @param name id, or the name of its entry
   * @returns false: there is none in force
   */
  clear(name: string): boolean {
    const isThere = this.schedule.has(name, this.#nowMs) || this.hasOther(name);
    if (isThere) this.plan.add(this.#nowMs, () => this.#clear(name));
    return isThere;
  }

  #clear(name: string): void {
    const occurrence = this.schedule.find(name);
    if (occurrence === undefined) {
      this.clearOther(name);
      return;
    }
    this.schedule.endAt(occurrence, this.#nowMs);
    if (!isOfStage(occurrence, 'byte')) return;
    const { transmissions, dropped } = this.out;
    const before = transmissions.length;
    this.line.end(occurrence, this.#nowMs, transmissions, dropped);
    this.#watch(before);
  }

  /** What the next that is started by hand is called. */
  protected nameByHand(): string {
    this.#byHand++;
    return nameByHand(this.#byHand);
  }

  /** When all is over, ms; Infinity while there are epochs to come, or something waits. */
  #overMs(): number {
    return this.dueEpochMs === Infinity && this.line.isEmpty ? this.doneMs : Infinity;
  }

  #dueMs(): number {
    return Math.min(this.dueEpochMs, this.schedule.nextMs, this.plan.nextMs, this.agenda.nextMs);
  }

  /** All that is due at an instant: what ends, what begins, what was put down, the epoch. */
  #happen(atMs: number): void {
    this.#nowMs = atMs;
    this.#endBy(atMs);
    for (const occurrence of this.schedule.begin(atMs)) this.#begin(occurrence);
    this.plan.run(atMs);
    // What was cleared is over before the epoch, as what was to end now.
    this.#endBy(atMs);
    this.agenda.run(atMs);
    if (this.dueEpochMs <= atMs) this.epoch(atMs);
  }

  #begin(occurrence: Occurrence): void {
    this.out.begun.push(occurrence);
    this.turned(occurrence, 'begin');
    if (!isOfStage(occurrence, 'byte')) return;
    this.line.strike(occurrence, this.out.dropped);
    if (occurrence.effect.baud !== undefined) this.setSpeed();
  }

  #endBy(atMs: number): void {
    for (const occurrence of this.schedule.endBy(atMs)) {
      this.turned(occurrence, 'end');
      if (isOfStage(occurrence, 'byte') && occurrence.effect.baud !== undefined) this.setSpeed();
    }
  }

  /** Sends up to `untilMs`. @returns false where something has come up that is due before */
  protected transmit(untilMs: number, most = Infinity): boolean {
    const { transmissions, dropped } = this.out;
    const before = transmissions.length;
    this.line.advance(untilMs, this.schedule.onLine(), transmissions, dropped, most);
    this.#watch(before);
    return true;
  }

  /** What has been put on the line. @param from the first of it */
  #watch(from: number): void {
    const { transmissions } = this.out;
    for (let i = from; i < transmissions.length; i++) this.#proof.see(transmissions[i] as Transmission);
  }

  /** The line at an epoch, which is the last one from then on. */
  protected lineAt(atMs: number): LineState {
    const busyMs = this.line.busyMsBy(atMs);
    const load = this.lastEpochMs < 0 ? 0 : (busyMs - this.#busyMs) / (atMs - this.lastEpochMs);
    this.#busyMs = busyMs;
    this.lastEpochMs = atMs;
    return { baud: this.line.baud, load, waitingBytes: this.line.waitingBytes };
  }

  /** The line runs at the speed of the last fault in force that sets one, or at its own. */
  protected setSpeed(): void {
    const faulty = this.schedule.onLine().findLast(({ effect }) => effect.baud !== undefined);
    const baud = faulty?.effect.baud ?? this.ownBaud();
    if (baud === this.line.baud) return;
    this.line.setBaud(baud);
    this.out.events.push({ type: 'line', atMs: this.#nowMs, baud });
  }
}
