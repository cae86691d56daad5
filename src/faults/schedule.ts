import type { Stage } from './fault.js';
import { isInForce, isOfStage, type Occurrence } from './occurrence.js';

/** Which faults touch the present tick. */
export class FaultSchedule {
  /** In order of their beginning. */
  readonly #waiting: Occurrence[];
  #active: Occurrence[] = [];
  /** Those on the line: a sentence that begins in one tick may reach into the faults of the next. */
  #onLine: readonly Occurrence<'byte'>[];
  /** Receiver faults that begin in the tick. */
  beginning: readonly Occurrence<'receiver'>[] = NOTHING;

  /** @param occurrences in the order of the timeline, which is that in which they act */
  constructor(readonly occurrences: readonly Occurrence[]) {
    this.#waiting = [...occurrences].sort((a, b) => a.beginMs - b.beginMs);
    this.#onLine = occurrences.filter((occurrence) => isOfStage(occurrence, 'byte'));
  }

  /** Moves on to the tick [fromMs, untilMs). */
  advance(fromMs: number, untilMs: number): void {
    this.beginning = NOTHING;
    if (this.#active.length === 0 && (this.#waiting[0]?.beginMs ?? Infinity) >= untilMs) return;
    const isOver = ({ endMs }: Occurrence) => endMs <= fromMs;
    if (this.#onLine.some(isOver)) this.#onLine = this.#onLine.filter((occurrence) => !isOver(occurrence));
    const next: Occurrence[] = [];
    while (this.#waiting[0] !== undefined && this.#waiting[0].beginMs < untilMs) {
      next.push(this.#waiting.shift() as Occurrence);
    }
    this.beginning = next.filter((occurrence) => isOfStage(occurrence, 'receiver'));
    const order = (occurrence: Occurrence) => this.occurrences.indexOf(occurrence);
    this.#active = [...this.#active.filter((occurrence) => !isOver(occurrence)), ...next].sort(
      (a, b) => order(a) - order(b),
    );
  }

  /** All that are in force at an instant of the tick. */
  at(atMs: number): readonly Occurrence[] {
    if (this.#active.length === 0) return NOTHING;
    return this.#active.filter((occurrence) => isInForce(occurrence, atMs));
  }

  /** Those on the line that are not over yet, in the order of the timeline. */
  onLine(): readonly Occurrence<'byte'>[] {
    return this.#onLine;
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

const NOTHING: readonly never[] = [];
