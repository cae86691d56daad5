import { RandomStreams, type Stream } from '../base/random.js';
import type { Utc } from '../base/time.js';
import { Line, type LineState } from '../emit/line/line.js';
import { countBytes, type TellTale, type Transmission } from '../emit/line/transmission.js';
import { writeSentences } from '../emit/sentences/registry.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { FaultKind, ModuleControl } from '../faults/fault.js';
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
import type { Report } from '../sim/epoch.js';
import { hears } from '../sim/receiver/hears.js';
import type { Simulator } from '../sim/simulator.js';
import type { Surroundings } from '../sim/surroundings.js';
import { Agenda } from './agenda.js';
import { alter } from './alter.js';
import { BY_HAND_RANK, countByHand, nameByHand } from './by-hand.js';
import { Hearing } from './hearing.js';
import { ModuleState } from './module-state.js';
import { newOutput, type Output } from './output.js';
import { Power } from './power.js';
import type { SkyOfRun } from './satellites.js';
import { type Interest, simulatorOf } from './simulator-of-run.js';
import { type SurroundingsEntry, SurroundingsPlan } from './surroundings.js';
import { TellTales } from './tell-tale.js';

/**
 * The module without clock and port: scenario in, bytes with their times out, and what a host or a hand does to it at
 * the time that has been reached. The same scenario, start, seed and inputs give the same output, however time comes.
 */
export class Engine {
  readonly #scenario: Scenario;
  readonly #streams: RandomStreams;
  readonly #line: Line;
  readonly #simulator: Simulator;
  readonly #schedule: FaultSchedule;
  readonly #surroundings: SurroundingsPlan;
  readonly #state: ModuleState;
  /** What comes from the host by the timeline. */
  readonly #plan = new Agenda();
  /** What the module itself has to do; without power nothing of it is left. */
  readonly #agenda = new Agenda();
  readonly #power: Power;
  readonly #hearing: Hearing;
  readonly #latency: Stream;
  /** Called once an item has gone out whole. */
  readonly #awaited = new Map<Transmission, () => void>();
  #tellTales: TellTales | null = null;
  #byHand = 0;
  /** Everything before it has been done. */
  #nowMs = 0;
  #lastEpochMs = -1;
  /** How long the line had been busy by then. */
  #busyMs = 0;
  #nextEpochMs = 0;
  #report: Report | null = null;
  #out: Output = newOutput();

  constructor(scenario: Scenario, startUtc: Utc, sky: SkyOfRun, interest: Interest) {
    this.#scenario = scenario;
    const { module, timeline } = scenario;
    this.#streams = new RandomStreams(scenario.seed);
    this.#latency = this.#streams.stream('latency');
    const planned = timeline.filter((entry) => entry.kind === 'fault');
    this.#schedule = new FaultSchedule(planned.map((entry) => occurrencesOf(entry, this.#streams)));
    this.#surroundings = new SurroundingsPlan(scenario);
    this.#state = new ModuleState(module);
    this.#line = new Line(module);
    this.#simulator = simulatorOf(scenario, startUtc, sky, interest, {
      schedule: this.#schedule,
      surroundings: this.#surroundings,
    });
    const present = new Set(sky.satellites.map(({ system }) => system));
    this.#power = new Power(module, {
      agenda: this.#agenda,
      receiver: this.#simulator.receiver,
      systems: [...present].filter((system) => hears(module.receiver, system)),
      cut: (atMs, faults) => {
        this.#awaited.clear();
        this.#hearing.reset();
        this.#line.cut(atMs, faults, this.#out.dropped);
      },
      booting: () => {
        this.#state.powerUp();
        this.#changeInterval();
        this.#setSpeed();
        this.#hearing.searchSpeed(this.#nowMs);
      },
      say: (sentences) => this.#submit(this.#nowMs, this.#altered(sentences)),
    });
    this.#hearing = new Hearing(module, {
      state: this.#state,
      agenda: this.#agenda,
      power: this.#power,
      submit: (readyMs, items, sent) => this.#submit(readyMs, items, sent),
      giveUp: (item) => this.#awaited.delete(item),
      write: (name) => this.#sentencesOf(name),
      epoch: () => Math.max(0, this.ticks - 1),
      changed: () => {
        this.#changeInterval();
        this.#setSpeed();
      },
      note: (command, isBusy) => this.#out.events.push({ type: 'command', atMs: this.#nowMs, command, isBusy }),
      nowMs: () => this.#nowMs,
    });
    for (const entry of timeline) {
      if (entry.kind === 'command') this.#plan.add(milliseconds(entry.atS), () => this.#hear(entry.bytes));
      if (entry.kind === 'clear') this.#plan.add(milliseconds(entry.atS), () => this.#clear(entry.entry));
    }
    this.#byHand = countByHand(timeline);
    this.#power.boot(0);
    this.#hearing.searchSpeed(0);
  }

  /** Epochs done so far. */
  get ticks(): number {
    return this.#simulator.epochs;
  }

  /** When the next epoch is due, ms. */
  get nextEpochMs(): number {
    return this.#nextEpochMs;
  }

  /** Everything before it has been done, ms. */
  get nowMs(): number {
    return this.#nowMs;
  }

  /** When something is next to be done, ms. */
  get nextMs(): number {
    return Math.min(this.#dueMs(), this.#line.nextMs);
  }

  /** End of the last stop bit so far, ms. */
  get lineEndMs(): number {
    return this.#line.endMs;
  }

  /** Speed of the module's line, and of a byte on it. */
  get baud(): number {
    return this.#line.baud;
  }

  /** Surroundings that were planned, or made by hand so far; their ends may move. */
  get surroundings(): readonly SurroundingsEntry[] {
    return this.#surroundings.entries;
  }

  /** Takes what has come about since the last call. */
  take(): Output {
    const out = this.#out;
    this.#out = newOutput();
    return out;
  }

  /**
   * Does all that happens, and sends all that begins, before `untilMs`.
   * @param lastEpochMs an epoch later than it is left for another time, and with it all that comes after
   */
  advance(untilMs: number, lastEpochMs: number): void {
    for (;;) {
      const limitMs = this.#nextEpochMs > lastEpochMs ? Math.min(untilMs, this.#nextEpochMs) : untilMs;
      const dueMs = this.#dueMs();
      // Sending may bring up something that is due earlier.
      if (!this.#transmit(Math.min(dueMs, limitMs))) continue;
      if (dueMs < limitMs) this.#happen(dueMs);
      else {
        this.#nowMs = Math.max(this.#nowMs, limitMs);
        return;
      }
    }
  }

  /** Sends what still waits after the last epoch. */
  drain(): void {
    this.#nextEpochMs = Infinity;
    while (!this.#line.isEmpty) {
      const dueMs = this.#dueMs();
      if (dueMs <= this.#line.nextMs) this.#happen(dueMs);
      else this.#transmit(dueMs, 1);
    }
  }

  // What is done from outside is put down for the time that has been reached, where the timeline's entries of that time
  // stand too: of several things at one time the order is the same when the timeline repeats them.

  /** Bytes have come from the host, at the time that has been reached. */
  hear(bytes: Uint8Array): void {
    this.#plan.add(this.#nowMs, () => this.#hear(bytes));
  }

  /**
   * Starts a fault by hand, at the time that has been reached.
   * @param forS how long, s; null: as long as its kind says, or until it is cleared
   */
  start(fault: FaultKind, settings: unknown, forS: number | null): Occurrence {
    const name = this.#nameByHand();
    const planned = { name, place: BY_HAND_RANK + this.#byHand, fault, settings, forS };
    const endMs = milliseconds(this.#nowMs / 1000 + lengthS(planned));
    const occurrence = occurrenceOf(planned, 1, [this.#nowMs, endMs], this.#streams);
    this.#schedule.plan(occurrence);
    return occurrence;
  }

  /**
   * Ends a fault, or surroundings, at the time that has been reached; one that has touched a sentence on the line ends
   * with it.
   * @param name id, or the name of its entry
   * @returns false: there is none in force
   */
  clear(name: string): boolean {
    const isThere = this.#schedule.has(name, this.#nowMs) || this.#surroundings.has(name, this.#nowMs);
    if (isThere) this.#plan.add(this.#nowMs, () => this.#clear(name));
    return isThere;
  }

  /** Other surroundings, by hand, at the time that has been reached. */
  surround(surroundings: Surroundings, forS: number | null): SurroundingsEntry {
    const times = [this.#nowMs, milliseconds(this.#nowMs / 1000 + (forS ?? Infinity))] as const;
    const entry = this.#surroundings.add(`${this.#nameByHand()}.1`, surroundings, times);
    this.#out.surroundings.push(entry);
    return entry;
  }

  #hear(bytes: Uint8Array): void {
    if (this.#power.isOn) this.#hearing.take(bytes, this.#nowMs);
  }

  #clear(name: string): void {
    const occurrence = this.#schedule.find(name);
    if (occurrence === undefined) {
      this.#surroundings.clear(name, this.#nowMs);
      return;
    }
    const isOnLine = occurrence.stage === 'byte';
    this.#schedule.endAt(occurrence, isOnLine ? Math.max(this.#nowMs, this.#line.endMs) : this.#nowMs);
  }

  #nameByHand(): string {
    this.#byHand++;
    return nameByHand(this.#byHand);
  }

  #dueMs(): number {
    return Math.min(this.#nextEpochMs, this.#schedule.nextMs, this.#plan.nextMs, this.#agenda.nextMs);
  }

  /** All that is due at an instant: what ends, what begins, what was put down, the epoch. */
  #happen(atMs: number): void {
    this.#nowMs = atMs;
    for (const occurrence of this.#schedule.endBy(atMs)) this.#end(occurrence);
    for (const occurrence of this.#schedule.begin(atMs)) this.#begin(occurrence);
    this.#plan.run(atMs);
    this.#agenda.run(atMs);
    if (this.#nextEpochMs <= atMs) this.#epoch(atMs);
  }

  #begin(occurrence: Occurrence): void {
    this.#out.begun.push(occurrence);
    const { beginMs, endMs } = occurrence;
    if (hasTurns(occurrence)) occurrence.effect.begin?.(this.#control(occurrence), (endMs - beginMs) / 1000);
    if (!isOfStage(occurrence, 'byte')) return;
    this.#line.strike(occurrence, this.#out.dropped);
    if (occurrence.effect.baud !== undefined) this.#setSpeed();
  }

  #end(occurrence: Occurrence): void {
    if (hasTurns(occurrence)) occurrence.effect.end?.(this.#control(occurrence));
    if (isOfStage(occurrence, 'byte') && occurrence.effect.baud !== undefined) this.#setSpeed();
  }

  /** What a receiver fault may do to the module. */
  #control({ id }: Occurrence): ModuleControl {
    return {
      restart: (start, offS, midSentence) => {
        const fail = () => this.#power.fail(this.#nowMs, offS * 1000, start, [id]);
        if (midSentence === null) fail();
        else this.#power.arm(midSentence, fail);
      },
      say: (text) => this.#power.say([text], this.#nowMs),
    };
  }

  /** Sends up to `untilMs`. @returns false where something has come up that is due before */
  #transmit(untilMs: number, most = Infinity): boolean {
    const { transmissions, dropped } = this.#out;
    const faults = this.#schedule.onLine();
    if (this.#awaited.size === 0 && !this.#power.isArmed) {
      this.#line.advance(untilMs, faults, transmissions, dropped, most);
      return true;
    }
    for (;;) {
      const before = transmissions.length;
      this.#line.advance(untilMs, faults, transmissions, dropped, 1);
      const sent = transmissions[before];
      if (sent === undefined) return true;
      if (this.#look(sent) || most === 1) return false;
    }
  }

  /** Looks at what has just been put on the line. @returns true if something is to be done on its account */
  #look(sent: Transmission): boolean {
    const then = this.#awaited.get(sent);
    if (then !== undefined) {
      this.#awaited.delete(sent);
      this.#agenda.add(sent.endMs, then);
    }
    const cut = sent.kind === 'sentence' && this.#power.isArmed;
    if (cut) this.#power.failIn(sent.startMs, sent.byteMs * countBytes(sent));
    return cut || then !== undefined;
  }

  #submit(readyMs: number, items: readonly Transmission[], sent?: () => void): void {
    const last = items.at(-1);
    if (sent !== undefined && last !== undefined) this.#awaited.set(last, sent);
    this.#line.interject(readyMs, items);
  }

  #epoch(atMs: number): void {
    const epoch = this.#simulator.next(atMs);
    const line = this.#lineAt(atMs);
    this.#lastEpochMs = atMs;
    this.#nextEpochMs = atMs + this.#state.now.epochMs;
    this.#report = epoch.report;
    this.#out.epochs.push({ epoch, faults: this.#schedule.at(atMs), line });
    const readyMs = atMs + this.#lateMs();
    if (!this.#power.speaksAt(readyMs)) return;
    const sentences = writeSentences(epoch.report, this.#scenario.module.style, this.#state.due(epoch.index));
    this.#line.submit(readyMs, this.#altered(sentences));
  }

  #lineAt(atMs: number): LineState {
    const busyMs = this.#line.busyMsBy(atMs);
    const load = this.#lastEpochMs < 0 ? 0 : (busyMs - this.#busyMs) / (atMs - this.#lastEpochMs);
    this.#busyMs = busyMs;
    return { baud: this.#line.baud, load, waitingBytes: this.#line.waitingBytes };
  }

  /** From the epoch to its first bit; drawn at every epoch, whether the module speaks or not. */
  #lateMs(): number {
    const { latencyMs, jitterMs } = this.#scenario.module;
    return Math.max(latencyMs / 2, latencyMs + jitterMs * this.#latency.normal());
  }

  /** Sentences as the faults in force leave them. */
  #altered(sentences: readonly string[]): Transmission[] {
    const faults = this.#schedule.inForce('sentence', this.#nowMs);
    const report = this.#report;
    return alter(sentences, faults, { epoch: Math.max(0, this.ticks - 1), report, tellTale: () => this.#tellTale() });
  }

  #tellTale(): TellTale {
    const { trajectory, durationS } = this.#scenario;
    this.#tellTales ??= new TellTales(
      this.#streams.stream('tell-tales'),
      trajectory,
      durationS ?? trajectory.durationS,
    );
    return this.#tellTales.next();
  }

  /** The last epoch's sentences of a kind, as faults leave them. */
  #sentencesOf(name: SentenceName): Transmission[] {
    if (this.#report === null) return [];
    return this.#altered(writeSentences(this.#report, this.#scenario.module.style, [name]));
  }

  /** The line runs at the speed of the last fault in force that sets one, or as the module is set. */
  #setSpeed(): void {
    const faulty = this.#schedule.onLine().findLast(({ effect }) => effect.baud !== undefined);
    const baud = faulty?.effect.baud ?? this.#state.now.baud;
    if (baud === this.#line.baud) return;
    this.#line.setBaud(baud);
    this.#out.events.push({ type: 'line', atMs: this.#nowMs, baud });
  }

  /** Epochs come at another interval: from here on at whole multiples of it. */
  #changeInterval(): void {
    const { epochMs } = this.#state.now;
    this.#simulator.changeInterval(epochMs);
    if (this.#nextEpochMs === Infinity) return;
    const nextMs = Math.ceil(this.#nowMs / epochMs) * epochMs;
    this.#nextEpochMs = nextMs > this.#lastEpochMs ? nextMs : nextMs + epochMs;
  }
}

function hasTurns(occurrence: Occurrence): occurrence is Occurrence<'signal' | 'receiver'> {
  return isOfStage(occurrence, 'signal') || isOfStage(occurrence, 'receiver');
}
