import { LodestubError } from '../base/error.js';
import type { RealClock } from '../run/clock.js';
import type { ModuleRun } from '../run/module-run.js';
import type { LiveOffer, Scenario } from '../scenario/scenario.js';
import { findOffer, type Offer, offersOf } from './offers.js';
import type { InForce, RunWatch } from './run-watch.js';
import { type LiveStatus, statusOf } from './status.js';

/** Slowest and fastest pace, times real time. */
export const MIN_PACE = 0.01;
export const MAX_PACE = 1000;

/** The paces that {@link LiveControl.faster} and {@link LiveControl.slower} go through. */
const PACES = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];

/** How often it is looked whether a step is done, ms. */
const LOOK_EVERY_MS = 5;

/** A clock that can be told how time is to go on. */
export type LiveClock = Pick<
  RealClock,
  'pace' | 'isPaused' | 'isStarted' | 'nowMs' | 'pause' | 'resume' | 'goOnUntil' | 'setPace'
>;

/** What a control needs of the run. */
export interface LiveParts {
  readonly run: ModuleRun;
  readonly clock: LiveClock;
  readonly scenario: Scenario;
  readonly watch: RunWatch;
  /** What a host opens, at present. */
  readonly portName: () => string;
  /** Ends the run after the sentence that is on the line. */
  readonly stop: () => void;
}

/** What was started by hand. */
interface Started {
  readonly id: string;
  readonly offer: Offer | null;
  /** When it is over, ms: moves to an earlier time once it is cleared. */
  readonly thing: { readonly beginMs: number; readonly endMs: number };
  readonly kind: string;
}

/**
 * What can be done to a run while it is played: one set of operations for keys and socket. All take effect at the next
 * tick, and are in the journal.
 */
export class LiveControl {
  readonly offers: readonly Offer[];
  readonly #parts: LiveParts;
  /** What was started by hand and is not over. */
  #started: readonly Started[] = [];
  /** Ids of what was cleared by hand, and is over from the next tick on at the latest. */
  readonly #cleared = new Set<string>();

  constructor(parts: LiveParts) {
    this.#parts = parts;
    this.offers = offersOf(parts.scenario);
  }

  get isPaused(): boolean {
    return this.#parts.clock.isPaused;
  }

  get pace(): number {
    return this.#parts.clock.pace;
  }

  /** What is in force, and what was started by hand and comes into force at the next tick. */
  get inForce(): readonly InForce[] {
    const begun = this.#parts.watch.inForce.filter(({ id }) => !this.#cleared.has(id));
    const coming = this.#pending().filter(({ id }) => !begun.some((each) => each.id === id));
    return [...begun, ...coming.map(({ id, kind, thing }) => ({ id, kind, beginMs: thing.beginMs }))];
  }

  /** Simulated time stands still; the port stays open. @returns that time, ms */
  pause(): number {
    const { clock, run } = this.#parts;
    clock.pause();
    this.#catchUp();
    run.noteControl({ do: 'pause' });
    return clock.nowMs();
  }

  resume(): number {
    this.#catchUp();
    this.#parts.run.noteControl({ do: 'resume' });
    this.#parts.clock.resume();
    return this.#parts.clock.nowMs();
  }

  /**
   * Goes on through the next epoch and all that is sent before the one after it, and stands still just before that:
   * what is started then is in force at it.
   * @returns where it will stand still, ms
   */
  step(): number {
    const { clock, run, watch } = this.#parts;
    this.#catchUp();
    const untilMs = run.nextEpochMs + (watch.intervalMs ?? run.epochMs) - 1;
    run.noteControl({ do: 'step' });
    clock.goOnUntil(untilMs);
    return untilMs;
  }

  /** Resolves once the run stands still again, or is over. */
  async atRest(): Promise<number> {
    const { clock, run } = this.#parts;
    while (!clock.isPaused && !run.isOver) await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
    this.#catchUp();
    return clock.nowMs();
  }

  /** @param factor times real time, {@link MIN_PACE} to {@link MAX_PACE} */
  setPace(factor: number): void {
    this.#catchUp();
    this.#parts.run.noteControl({ do: 'pace', factor });
    this.#parts.clock.setPace(factor);
  }

  faster(): void {
    this.setPace(PACES.find((pace) => pace > this.pace) ?? this.pace);
  }

  slower(): void {
    this.setPace(PACES.findLast((pace) => pace < this.pace) ?? this.pace);
  }

  /**
   * Starts a fault, or other surroundings.
   * @param offer where it is one of the offers
   * @throws LodestubError `control.over`
   */
  start(what: LiveOffer, offer: Offer | null = null): { readonly id: string; readonly atMs: number } {
    this.#catchUp();
    const { run } = this.#parts;
    const thing =
      what.kind === 'fault'
        ? run.start(what.fault, what.settings, what.forS)
        : run.surround(what.surroundings, what.forS);
    if (thing === null) throw new LodestubError({ code: 'control.over', summary: 'the run is over' });
    const { id, beginMs } = thing;
    const kind = what.kind === 'fault' ? what.fault.name : what.surroundings.kind;
    const forS = what.forS ?? undefined;
    run.noteControl({ do: 'start', id, forS, effectMs: beginMs });
    this.#started = [...this.#pending(), { id, offer, thing, kind }];
    return { id, atMs: beginMs };
  }

  /**
   * Starts one of the offers.
   * @param wanted its number or name
   * @throws LodestubError `control.offer`, `control.over`
   */
  startOffer(wanted: unknown): { readonly id: string; readonly atMs: number } {
    const offer = findOffer(this.offers, wanted);
    return this.start(offer.what, offer);
  }

  /** Ends what is in force. @param id as in the journal. @throws LodestubError `control.not-in-force` */
  clear(id: string): { readonly ids: readonly string[]; readonly atMs: number } {
    this.#catchUp();
    const { run } = this.#parts;
    const effectMs = run.reachedMs;
    if (this.#cleared.has(id) || !run.clear(id)) throw notInForce(id, this.inForce);
    this.#cleared.add(id);
    run.noteControl({ do: 'clear', id, effectMs });
    return { ids: [id], atMs: effectMs };
  }

  /**
   * Ends all that was started from one of the offers.
   * @throws LodestubError `control.offer`, `control.not-in-force`
   */
  clearOffer(wanted: unknown): { readonly ids: readonly string[]; readonly atMs: number } {
    this.#catchUp();
    const offer = findOffer(this.offers, wanted);
    const ids = this.#idsOf(offer);
    if (ids.length === 0) throw notInForce(offer.name, this.inForce);
    for (const id of ids) this.clear(id);
    return { ids, atMs: this.#parts.run.reachedMs };
  }

  /** Starts one of the offers, or clears it where it is in force. */
  toggle(wanted: unknown): void {
    const offer = findOffer(this.offers, wanted);
    this.#catchUp();
    if (this.#idsOf(offer).length > 0) this.clearOffer(wanted);
    else this.startOffer(wanted);
  }

  /** Whether something that was started from an offer is in force, or comes into force at the next tick. */
  isOn(offer: Offer): boolean {
    return this.#idsOf(offer).length > 0;
  }

  status(): LiveStatus {
    this.#catchUp();
    return this.glance();
  }

  /** The status as it is known, without living on until now: for whoever is called while the module does so. */
  glance(): LiveStatus {
    return statusOf(this.#parts, this);
  }

  stop(): void {
    this.#parts.run.noteControl({ do: 'stop' });
    this.#parts.stop();
  }

  #idsOf(offer: Offer): string[] {
    return this.#pending().flatMap((each) => (each.offer === offer ? [each.id] : []));
  }

  /** What was started by hand, and is neither cleared nor over. */
  #pending(): readonly Started[] {
    const { reachedMs } = this.#parts.run;
    this.#started = this.#started.filter(({ id, thing }) => !this.#cleared.has(id) && thing.endMs > reachedMs);
    return this.#started;
  }

  /** Lets the module live on until now: what is done to it takes effect at the tick that comes next. */
  #catchUp(): void {
    this.#parts.run.catchUp(this.#parts.clock.nowMs());
  }
}

function notInForce(what: string, inForce: readonly InForce[]): LodestubError {
  const ids = inForce.map(({ id, kind }) => `${id} (${kind})`);
  return new LodestubError({
    code: 'control.not-in-force',
    expected: ids.length === 0 ? 'nothing: no fault is in force' : `one of ${ids.join(', ')}`,
    received: what,
  });
}
