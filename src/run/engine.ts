import type { Stream } from '../base/random.js';
import type { Utc } from '../base/time.js';
import { countBytes, type TellTale, type Transmission } from '../emit/line/transmission.js';
import { writeSentences } from '../emit/sentences/registry.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { ModuleControl } from '../faults/fault.js';
import { isOfStage, milliseconds, type Occurrence } from '../faults/occurrence.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Report } from '../sim/epoch.js';
import { hears } from '../sim/receiver/hears.js';
import type { Simulator } from '../sim/simulator.js';
import type { Surroundings } from '../sim/surroundings.js';
import { alter } from './alter.js';
import { Hearing } from './hearing.js';
import { LineEngine } from './line-engine.js';
import { ModuleState } from './module-state.js';
import { Power } from './power.js';
import type { SkyOfRun } from './satellites.js';
import { type Interest, simulatorOf } from './simulator-of-run.js';
import { type SurroundingsEntry, SurroundingsPlan } from './surroundings.js';
import { TellTales, trackOf } from './tell-tale.js';

/**
 * The module without clock and port: scenario in, bytes with their times out, and what a host or a hand does to it at
 * the time that has been reached.
 */
export class Engine extends LineEngine {
  readonly #simulator: Simulator;
  readonly #surroundings: SurroundingsPlan;
  readonly #state: ModuleState;
  readonly #power: Power;
  readonly #hearing: Hearing;
  readonly #latency: Stream;
  /** Called once an item has gone out whole. */
  readonly #awaited = new Map<Transmission, () => void>();
  #tellTales: TellTales | null = null;
  #report: Report | null = null;

  constructor(scenario: Scenario, startUtc: Utc, sky: SkyOfRun, interest: Interest) {
    const { module } = scenario;
    super(scenario, module);
    this.#latency = this.streams.stream('latency');
    this.#surroundings = new SurroundingsPlan(scenario);
    this.#state = new ModuleState(module);
    this.#simulator = simulatorOf(scenario, startUtc, sky, interest, {
      schedule: this.schedule,
      surroundings: this.#surroundings,
    });
    const present = new Set(sky.satellites.map(({ system }) => system));
    // Without power nothing of the agenda is left.
    this.#power = new Power(module, {
      agenda: this.agenda,
      receiver: this.#simulator.receiver,
      systems: [...present].filter((system) => hears(module.receiver, system)),
      cut: (atMs, faults) => {
        this.#awaited.clear();
        this.#hearing.reset();
        this.line.cut(atMs, faults, this.out.dropped);
      },
      booting: () => {
        this.#state.powerUp();
        this.#changeInterval();
        this.setSpeed();
        this.#hearing.searchSpeed(this.nowMs);
      },
      say: (sentences) => this.#submit(this.nowMs, this.#altered(sentences)),
    });
    this.#hearing = new Hearing(module, {
      state: this.#state,
      agenda: this.agenda,
      power: this.#power,
      submit: (readyMs, items, sent) => this.#submit(readyMs, items, sent),
      giveUp: (item) => this.#awaited.delete(item),
      write: (name) => this.#sentencesOf(name),
      epoch: () => Math.max(0, this.ticks - 1),
      changed: () => {
        this.#changeInterval();
        this.setSpeed();
      },
      note: (command, isBusy) => this.out.events.push({ type: 'command', atMs: this.nowMs, command, isBusy }),
      nowMs: () => this.nowMs,
    });
    this.#power.boot(0);
    this.#hearing.searchSpeed(0);
  }

  get ticks(): number {
    return this.#simulator.epochs;
  }

  get surroundings(): readonly SurroundingsEntry[] {
    return this.#surroundings.entries;
  }

  surround(surroundings: Surroundings, forS: number | null): SurroundingsEntry {
    const times = [this.nowMs, milliseconds(this.nowMs / 1000 + (forS ?? Infinity))] as const;
    const entry = this.#surroundings.add(`${this.nameByHand()}.1`, surroundings, times);
    this.out.surroundings.push(entry);
    return entry;
  }

  protected heard(bytes: Uint8Array): void {
    if (this.#power.isOn) this.#hearing.take(bytes, this.nowMs);
  }

  protected ownBaud(): number {
    return this.#state.now.baud;
  }

  protected override hasOther(name: string): boolean {
    return this.#surroundings.has(name, this.nowMs);
  }

  protected override clearOther(name: string): void {
    this.#surroundings.clear(name, this.nowMs);
  }

  protected override turned(occurrence: Occurrence, phase: 'begin' | 'end'): void {
    if (!isOfStage(occurrence, 'signal') && !isOfStage(occurrence, 'receiver')) return;
    const { beginMs, endMs, effect } = occurrence;
    if (phase === 'begin') effect.begin?.(this.#control(occurrence), (endMs - beginMs) / 1000);
    else effect.end?.(this.#control(occurrence));
  }

  /** What a receiver fault may do to the module. */
  #control({ id }: Occurrence): ModuleControl {
    return {
      restart: (start, offS, midSentence) => {
        const fail = () => this.#power.fail(this.nowMs, offS * 1000, start, [id]);
        if (midSentence === null) fail();
        else this.#power.arm(midSentence, fail);
      },
      say: (text) => this.#power.say([text], this.nowMs),
    };
  }

  protected override transmit(untilMs: number, most = Infinity): boolean {
    if (this.#awaited.size === 0 && !this.#power.isArmed) return super.transmit(untilMs, most);
    const { transmissions } = this.out;
    for (;;) {
      const before = transmissions.length;
      super.transmit(untilMs, 1);
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
      this.agenda.add(sent.endMs, then);
    }
    const cut = sent.kind === 'sentence' && this.#power.isArmed;
    if (cut) this.#power.failIn(sent.startMs, sent.byteMs * countBytes(sent));
    return cut || then !== undefined;
  }

  #submit(readyMs: number, items: readonly Transmission[], sent?: () => void): void {
    const last = items.at(-1);
    if (sent !== undefined && last !== undefined) this.#awaited.set(last, sent);
    this.line.interject(readyMs, items);
  }

  protected epoch(atMs: number): void {
    const epoch = this.#simulator.next(atMs);
    const line = this.lineAt(atMs);
    this.dueEpochMs = atMs + this.#state.now.epochMs;
    this.#report = epoch.report;
    this.out.epochs.push({ epoch, faults: this.schedule.at(atMs), line });
    const readyMs = atMs + this.#lateMs();
    if (!this.#power.speaksAt(readyMs)) return;
    const sentences = writeSentences(epoch.report, this.scenario.module.style, this.#state.due(epoch.index));
    this.line.submit(readyMs, this.#altered(sentences));
  }

  /** From the epoch to its first bit; drawn at every epoch, whether the module speaks or not. */
  #lateMs(): number {
    const { latencyMs, jitterMs } = this.scenario.module;
    return Math.max(latencyMs / 2, latencyMs + jitterMs * this.#latency.normal());
  }

  /** Sentences as the faults in force leave them. */
  #altered(sentences: readonly string[]): Transmission[] {
    const faults = this.schedule.inForce('sentence', this.nowMs);
    const report = this.#report;
    return alter(sentences, faults, { epoch: Math.max(0, this.ticks - 1), report, tellTale: () => this.#tellTale() });
  }

  #tellTale(): TellTale {
    const { trajectory, durationS } = this.scenario;
    this.#tellTales ??= new TellTales(
      this.streams.stream('tell-tales'),
      trackOf(trajectory, durationS ?? trajectory.durationS),
    );
    return this.#tellTales.next();
  }

  /** The last epoch's sentences of a kind, as faults leave them. */
  #sentencesOf(name: SentenceName): Transmission[] {
    if (this.#report === null) return [];
    return this.#altered(writeSentences(this.#report, this.scenario.module.style, [name]));
  }

  /** Epochs come at another interval: from here on at whole multiples of it. */
  #changeInterval(): void {
    const { epochMs } = this.#state.now;
    this.#simulator.changeInterval(epochMs);
    if (this.dueEpochMs === Infinity) return;
    const nextMs = Math.ceil(this.nowMs / epochMs) * epochMs;
    this.dueEpochMs = nextMs > this.lastEpochMs ? nextMs : nextMs + epochMs;
  }
}
