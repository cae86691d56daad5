import type { Stage } from './fault.js';
import { isInForce, isOfStage, type Occurrence } from './occurrence.js';

/** An entry of the timeline: its next occurrence, and those after it. */
interface Waiting {
  readonly next: Occurrence;
  readonly rest: Iterator<Occurrence, void>;
}

/**
 * Which faults there are at present. Occurrences come one by one from their entries, and may be added by hand; they act
 * in the order of their ranks, which is that of the timeline, and what is added by hand comes last.
 */
export class FaultSchedule {
  /** The next occurrence of each entry, in order of their beginnings. */
  readonly #waiting: Waiting[] = [];
  #active: Occurrence[] = [];
  /** When the first of them ends, ms. */
  #endMs = Infinity;
  #onLine: readonly Occurrence<'byte'>[] = NOTHING;

  /** @param entries the occurrences of each entry, in order of time */
  constructor(entries: Iterable<Iterator<Occurrence, void>>) {
    for (const entry of entries) this.#draw(entry);
  }

  /** When the next begins or ends, ms; Infinity: none will. */
  get nextMs(): number {
    return Math.min(this.#waiting[0]?.next.beginMs ?? Infinity, this.#endMs);
  }

  /** Takes those that begin by `nowMs`. */
  begin(nowMs: number): readonly Occurrence[] {
    if (!this.#isDue(nowMs)) return NOTHING;
    const begun: Occurrence[] = [];
    while (this.#isDue(nowMs)) {
      const { next, rest } = this.#waiting.shift() as Waiting;
      this.#add(next);
      begun.push(next);
      this.#draw(rest);
    }
    return begun;
  }

  /** Forgets those that are over by `nowMs`. */
  endBy(nowMs: number): readonly Occurrence[] {
    if (this.#endMs > nowMs) return NOTHING;
    const over = this.#active.filter(({ endMs }) => endMs <= nowMs);
    this.#active = this.#active.filter(({ endMs }) => endMs > nowMs);
    this.#list();
    return over;
  }

  /** One that is in force is over at `endMs`, earlier than was planned. */
  endAt(occurrence: Occurrence, endMs: number): void {
    occurrence.endMs = Math.min(occurrence.endMs, endMs);
    this.#list();
  }

  /** One that is started by hand will begin. */
  plan(occurrence: Occurrence): void {
    this.#draw([occurrence].values());
  }

  #add(occurrence: Occurrence): void {
    this.#active = [...this.#active, occurrence].sort((a, b) => a.rank - b.rank || a.beginMs - b.beginMs);
    this.#list();
  }

  /** One that has begun and is not over, by its id or its entry's name; of several the first. */
  find(name: string): Occurrence | undefined {
    return this.#active.find(({ id }) => isCalled(id, name));
  }

  /** Whether there is one that {@link find} finds once all that is due by `nowMs` has begun. */
  has(name: string, nowMs: number): boolean {
    const isMeant = ({ next }: Waiting) => next.beginMs <= nowMs && isCalled(next.id, name);
    return this.find(name) !== undefined || this.#waiting.some(isMeant);
  }

  /** All that are in force at an instant. */
  at(atMs: number): readonly Occurrence[] {
    if (this.#active.length === 0) return NOTHING;
    return this.#active.filter((occurrence) => isInForce(occurrence, atMs));
  }

  /** Those of the line that have begun and are not over, in the order in which they act. */
  onLine(): readonly Occurrence<'byte'>[] {
    return this.#onLine;
  }

  /** Those of a stage that are in force at an instant. */
  inForce<S extends Stage>(stage: S, atMs: number): readonly Occurrence<S>[] {
    if (this.#active.length === 0) return NOTHING;
    const found: Occurrence<S>[] = [];
    for (const occurrence of this.#active) {
      if (isOfStage(occurrence, stage) && isInForce(occurrence, atMs)) found.push(occurrence);
    }
    return found;
  }

  #list(): void {
    this.#onLine = this.#active.filter((occurrence) => isOfStage(occurrence, 'byte'));
    this.#endMs = this.#active.reduce((firstMs, { endMs }) => Math.min(firstMs, endMs), Infinity);
  }

  #isDue(nowMs: number): boolean {
    return (this.#waiting[0]?.next.beginMs ?? Infinity) <= nowMs;
  }

  /** Puts an entry's next occurrence among those that wait; of those that begin at once, the earlier entry's first. */
  #draw(rest: Iterator<Occurrence, void>): void {
    const { value: next } = rest.next();
    if (next === undefined) return;
    const isLater = (each: Occurrence) =>
      each.beginMs > next.beginMs || (each.beginMs === next.beginMs && each.rank > next.rank);
    const place = this.#waiting.findIndex((each) => isLater(each.next));
    this.#waiting.splice(place < 0 ? this.#waiting.length : place, 0, { next, rest });
  }
}

function isCalled(id: string, name: string): boolean {
  return id === name || id.startsWith(`${name}.`);
}

const NOTHING: readonly never[] = [];
