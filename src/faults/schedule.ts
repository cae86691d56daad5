import type { Stage } from './fault.js';
import { isInForce, isOfStage, type Occurrence } from './occurrence.js';

/** A fault comes into force or ends. */
export interface FaultEvent {
  readonly atMs: number;
  readonly phase: 'begin' | 'end';
  readonly occurrence: Occurrence;
}

/** Which faults touch the present tick, and what begins and ends in it. */
export class FaultSchedule {
  readonly #waiting: Occurrence[];
  #active: Occurrence[] = [];
  /** What begins and ends in the tick, in order of time. */
  events: readonly FaultEvent[] = NONE;

  constructor(occurrences: readonly Occurrence[]) {
    this.#waiting = [...occurrences].sort((a, b) => a.beginMs - b.beginMs);
  }

  /** Moves on to the tick [fromMs, untilMs). */
  advance(fromMs: number, untilMs: number): void {
    if (this.#active.length === 0 && !(this.#waiting[0] !== undefined && this.#waiting[0].beginMs < untilMs)) {
      this.events = NONE;
      return;
    }
    const events: FaultEvent[] = [];
    this.#active = this.#active.filter(({ endMs }) => endMs > fromMs);
    while (this.#waiting[0] !== undefined && this.#waiting[0].beginMs < untilMs) {
      const occurrence = this.#waiting.shift() as Occurrence;
      this.#active.push(occurrence);
      events.push({ atMs: occurrence.beginMs, phase: 'begin', occurrence });
    }
    for (const occurrence of this.#active) {
      if (occurrence.endMs <= untilMs) events.push({ atMs: occurrence.endMs, phase: 'end', occurrence });
    }
    // Effects apply in the order of the timeline, whenever each began.
    this.#active.sort((a, b) => place(a) - place(b));
    this.events = events.sort((a, b) => a.atMs - b.atMs);
  }

  /** The run ends: what is still in force ends with it. */
  finish(atMs: number): FaultEvent[] {
    const left = this.#active.filter(({ beginMs, endMs }) => beginMs < atMs && endMs > atMs);
    return left.map((occurrence) => ({ atMs, phase: 'end', occurrence }));
  }

  /** Ids of all that are in force at an instant of the tick. */
  idsInForce(atMs: number): readonly string[] {
    if (this.#active.length === 0) return NOTHING;
    return this.#active.filter((occurrence) => isInForce(occurrence, atMs)).map(({ id }) => id);
  }

  /** Those on the line that touch the tick, in the order of the timeline. */
  onLine(): readonly Occurrence<'byte'>[] {
    if (this.#active.length === 0) return NOTHING;
    return this.#active.filter((occurrence) => isOfStage(occurrence, 'byte'));
  }

  /** Those of a stage that are in force at an instant of the tick. */
  inForce<S extends Stage>(stage: S, atMs: number): readonly Occurrence<S>[] {
    if (this.#active.length === 0) return NOTHING;
    const found: Occurrence<S>[] = [];
    for (const occurrence of this.#active) {
      if (isOfStage(occurrence, stage) && isInForce(occurrence, atMs)) found.push(occurrence);
    }
    return found;
  }
}

const NONE: readonly FaultEvent[] = [];
const NOTHING: readonly never[] = [];

function place({ id }: Occurrence): number {
  return Number.parseInt(id, 10);
}
