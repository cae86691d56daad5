import { RandomStreams, type Stream } from '../base/random.js';
import type { Utc } from '../base/time.js';
import { Line } from '../emit/line/line.js';
import { type Dropped, newSentence, type Transmission } from '../emit/line/transmission.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import { writeBanner, writeSentences } from '../emit/sentences/registry.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { ModuleControl } from '../faults/fault.js';
import { type Occurrence, planOccurrences } from '../faults/occurrence.js';
import { FaultSchedule } from '../faults/schedule.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Epoch, StartKind } from '../sim/epoch.js';
import { hears } from '../sim/receiver/hears.js';
import { Simulator } from '../sim/simulator.js';
import type { SystemName } from '../sim/sky/system.js';
import type { SkyOfRun } from './satellites.js';
import { surroundingsOver } from './surroundings.js';

/** All that one tick of the module brought. */
export interface Step {
  readonly epoch: Epoch;
  /** The faults in force at the epoch. */
  readonly faults: readonly Occurrence[];
  /** What began to go out from this epoch until the next, in order of time. */
  readonly transmissions: readonly Transmission[];
  readonly dropped: readonly Dropped[];
}

/** What is asked of the engine beside the module's bytes. */
export interface Interest {
  /** False: nobody looks at the epochs' satellites, and they are not listed. */
  readonly isWatched: boolean;
  /** Raw measurements of every epoch. */
  readonly withObservations: boolean;
}

/**
 * The module without clock and port: scenario in, bytes with their times out. The same scenario, start and seed give
 * the same steps, whoever asks for them and when.
 */
export class Engine {
  readonly line: Line;
  readonly #scenario: Scenario;
  readonly #simulator: Simulator;
  readonly #schedule: FaultSchedule;
  readonly #latency: Stream;
  /** Those that the receiver tracks and the sky has satellites of. */
  readonly #systems: readonly SystemName[];
  /** By the epoch's number: sentences that are due, for one period of all their rates; null where that is long. */
  readonly #menu: readonly (readonly SentenceName[])[] | null;
  /** Receiver faults that have begun since the last tick. */
  readonly #beginning: Occurrence<'receiver'>[] = [];
  /** Power is off until then; the module then starts as `start` says. Null: it is on. */
  #restart: { readonly onMs: number; readonly start: StartKind } | null = null;
  /** Nothing is said before, since the module boots. */
  #bootedMs = 0;
  #bannerIsDue = true;

  constructor(scenario: Scenario, startUtc: Utc, sky: SkyOfRun, { isWatched, withObservations }: Interest) {
    this.#scenario = scenario;
    const { module, timeline } = scenario;
    const streams = new RandomStreams(scenario.seed);
    this.#latency = streams.stream('latency');
    const present = new Set(sky.satellites.map(({ system }) => system));
    this.#systems = [...present].filter((system) => hears(module.receiver, system));
    const planned = timeline.filter((entry) => entry.kind === 'fault');
    this.#schedule = new FaultSchedule(planOccurrences(planned, streams));
    this.#menu = menuOf(module.sentences);
    this.#bootedMs = module.bootMs;
    this.line = new Line(module);
    this.#simulator = new Simulator(
      {
        seed: scenario.seed,
        start: startUtc,
        leapSeconds: scenario.leapSeconds,
        epochMs: module.epochMs,
        trajectory: scenario.trajectory,
        satellites: sky.satellites,
        klobuchar: sky.klobuchar,
        receiver: module.receiver,
        receiverStart: scenario.receiverStart,
        errors: scenario.errors,
        withObservations,
      },
      {
        isWatched,
        surroundings: surroundingsOver(scenario),
        signals: (signals, atMs, antenna) => {
          for (const { effect, beginMs, endMs } of this.#schedule.inForce('signal', atMs)) {
            effect.signal(signals, {
              tS: atMs / 1000,
              sinceS: (atMs - beginMs) / 1000,
              leftS: (endMs - atMs) / 1000,
              antenna,
            });
          }
        },
        report: (report, atMs) => {
          let seen = report;
          for (const { effect } of this.#schedule.inForce('receiver', atMs)) seen = effect.report?.(seen) ?? seen;
          return seen;
        },
      },
    );
  }

  /** Every fault that the timeline plans. */
  get occurrences(): readonly Occurrence[] {
    return this.#schedule.occurrences;
  }

  /** Ticks done so far. */
  get ticks(): number {
    return this.#simulator.epochs;
  }

  /** The next tick; the first is at the start. */
  step(): Step {
    const { epochMs } = this.#scenario.module;
    const atMs = this.ticks * epochMs;
    const dropped: Dropped[] = [];
    this.#schedule.advance(atMs, atMs + epochMs);
    this.#beginReceiverFaults(atMs, dropped);
    this.#power(atMs);
    const epoch = this.#simulator.next();
    const readyMs = atMs + this.#lateMs();
    if (this.#restart === null) this.#speak(epoch, readyMs);
    const transmissions = this.#transmit(atMs + epochMs, dropped);
    return { epoch, faults: this.#schedule.at(atMs), transmissions, dropped };
  }

  /** Sends what still waits after the last epoch. */
  drain(): Pick<Step, 'transmissions' | 'dropped'> {
    const dropped: Dropped[] = [];
    return { transmissions: this.#transmit(Infinity, dropped), dropped };
  }

  #transmit(untilMs: number, dropped: Dropped[]): Transmission[] {
    const transmissions: Transmission[] = [];
    this.line.advance(untilMs, this.#schedule.onLine(), transmissions, dropped);
    return transmissions;
  }

  #beginReceiverFaults(atMs: number, dropped: Dropped[]): void {
    this.#beginning.push(...this.#schedule.beginning);
    while (this.#beginning[0] !== undefined && this.#beginning[0].beginMs <= atMs) {
      const { id, beginMs, endMs, effect } = this.#beginning.shift() as Occurrence<'receiver'>;
      const module: ModuleControl = {
        restart: (start, offS) => {
          // Power fails and returns at epochs: at the first one from each of the two times on.
          this.#restart = { onMs: beginMs + offS * 1000, start };
          this.#simulator.receiver.powerOff();
          this.line.cut(atMs, [id], dropped);
        },
      };
      effect.begin?.(module, (endMs - beginMs) / 1000);
    }
  }

  /** Power returns after a restart. */
  #power(atMs: number): void {
    if (this.#restart === null || atMs < this.#restart.onMs) return;
    this.#simulator.receiver.powerOn(this.#restart.start);
    this.#restart = null;
    this.#bootedMs = atMs + this.#scenario.module.bootMs;
    this.#bannerIsDue = true;
  }

  /** From the epoch to its first bit; drawn at every epoch, whether the module speaks or not. */
  #lateMs(): number {
    const { latencyMs, jitterMs } = this.#scenario.module;
    return Math.max(latencyMs / 2, latencyMs + jitterMs * this.#latency.normal());
  }

  /** Hands the epoch's sentences to the line, after the banner where the module has just started. */
  #speak({ index, atMs, report }: Epoch, readyMs: number): void {
    const { module } = this.#scenario;
    const faults = this.#schedule.inForce('sentence', atMs);
    if (this.#bannerIsDue) {
      this.#bannerIsDue = false;
      this.line.submit(this.#bootedMs, alter(index, writeBanner(module.banner, module.style, this.#systems), faults));
    }
    if (readyMs < this.#bootedMs) return;
    const menu = this.#menu;
    const names =
      menu === null ? dueAt(index, module.sentences) : (menu[index % menu.length] as readonly SentenceName[]);
    this.line.submit(readyMs, alter(index, writeSentences(report, module.style, names), faults));
  }
}

/** What faults make of sentences, in the order of the timeline. */
function alter(epoch: number, sentences: readonly string[], faults: readonly Occurrence<'sentence'>[]): Transmission[] {
  return sentences.map((text) => {
    if (faults.length === 0) return newSentence(epoch, text, null, NONE);
    const whole = `${text}\r\n`;
    let sent = whole;
    const hands: string[] = [];
    for (const { id, effect } of faults) {
      const before = sent;
      sent = effect.sentence(before);
      if (sent !== before) hands.push(id);
    }
    return newSentence(epoch, text, sent === whole ? null : sent, hands);
  });
}

const NONE: readonly string[] = [];
/** Which sentences are due at an epoch. */
function dueAt(index: number, sentences: ModuleProfile['sentences']): SentenceName[] {
  return sentences.filter(({ every }) => index % every === 0).map(({ name }) => name);
}

/** A longer table is not worth its memory. */
const LONGEST_MENU = 600;

/** {@link dueAt} for the shortest period that all rates share; null where that is long. */
function menuOf(sentences: ModuleProfile['sentences']): SentenceName[][] | null {
  const period = sentences.reduce((length, { every }) => leastCommonMultiple(length, every), 1);
  return period > LONGEST_MENU ? null : Array.from({ length: period }, (_, index) => dueAt(index, sentences));
}

function leastCommonMultiple(a: number, b: number): number {
  let [x, y] = [a, b];
  while (y !== 0) [x, y] = [y, x % y];
  return (a / x) * b;
}
