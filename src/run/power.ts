import type { ModuleProfile } from '../emit/module-profile.js';
import { writeBanner } from '../emit/sentences/registry.js';
import type { StartKind } from '../sim/epoch.js';
import type { Receiver } from '../sim/receiver/receiver.js';
import type { SystemName } from '../sim/sky/system.js';
import type { Agenda } from './agenda.js';

/** What of the module loses power and gets it back. */
export interface Powered {
  readonly agenda: Agenda;
  readonly receiver: Pick<Receiver, 'powerOff' | 'powerOn'>;
  /** Systems that the receiver has, for the talker. */
  readonly systems: readonly SystemName[];
  /** What is on the line is cut off, what waits is lost. */
  cut(atMs: number, faults: readonly string[]): void;
  /** Power has come back. */
  booting(): void;
  /** Sends sentences, now. */
  say(sentences: readonly string[]): void;
}

/** A module's power: on, off, standing by, and the boot after each failure. */
export class Power {
  readonly #profile: Pick<ModuleProfile, 'bootMs' | 'banner' | 'style'>;
  readonly #parts: Powered;
  /** Failures that wait for a sentence: after so much of it. */
  #armed: { readonly share: number; readonly fail: () => void }[] = [];
  #isOn = true;
  #isStandingBy = false;
  #bootedMs = 0;

  constructor(profile: Pick<ModuleProfile, 'bootMs' | 'banner' | 'style'>, parts: Powered) {
    this.#profile = profile;
    this.#parts = parts;
  }

  get isOn(): boolean {
    return this.#isOn;
  }

  /** Whether the module says what is ready at that time, ms. */
  speaksAt(readyMs: number): boolean {
    return this.#isOn && !this.#isStandingBy && readyMs >= this.#bootedMs;
  }

  /** Power fails for so long; the module then starts as `start` says. */
  fail(atMs: number, offMs: number, start: StartKind, faults: readonly string[]): void {
    const { agenda, receiver } = this.#parts;
    this.#isOn = false;
    this.#isStandingBy = false;
    this.#armed = [];
    agenda.clear();
    receiver.powerOff();
    this.#parts.cut(atMs, faults);
    const onMs = atMs + offMs;
    agenda.add(onMs, () => {
      this.#isOn = true;
      receiver.powerOn(start);
      this.#parts.booting();
      this.boot(onMs);
    });
  }

  /** The module boots: after a time it says what it is. */
  boot(atMs: number): void {
    const { bootMs, banner } = this.#profile;
    this.#bootedMs = atMs + bootMs;
    this.#parts.agenda.add(this.#bootedMs, () => this.say(banner, this.#bootedMs));
  }

  /** Power is to fail in the middle of the next sentence. @param share how much of it goes out, 0 to 1 */
  arm(share: number, fail: () => void): void {
    this.#armed.push({ share, fail });
  }

  get isArmed(): boolean {
    return this.#armed.length > 0;
  }

  /** A sentence is on the line. */
  failIn(startMs: number, lengthMs: number): void {
    const next = this.#armed.shift();
    if (next !== undefined) this.#parts.agenda.add(startMs + next.share * lengthMs, next.fail);
  }

  /** The receiver is switched off, or on again; the module itself goes on listening. */
  standBy(isStandingBy: boolean): void {
    if (isStandingBy === this.#isStandingBy) return;
    this.#isStandingBy = isStandingBy;
    if (isStandingBy) this.#parts.receiver.powerOff();
    else this.#parts.receiver.powerOn('hot');
  }

  /** The receiver starts anew. */
  restartReceiver(start: StartKind): void {
    this.#parts.receiver.powerOff();
    this.#parts.receiver.powerOn(start);
  }

  /** The module says something as TXT. */
  say(lines: readonly string[], atMs: number): void {
    if (this.speaksAt(atMs)) this.#parts.say(writeBanner(lines, this.#profile.style, this.#parts.systems));
  }
}
