import type { RandomStreams } from '../base/random.js';
import type { Effects, FaultKind, Stage } from './fault.js';

/** One time that a fault is in force: [beginMs, endMs). */
export interface Occurrence<S extends Stage = Stage> {
  /** The entry's place in the timeline, or its name, and the count of its occurrences: `3.1`. */
  readonly id: string;
  /** Which acts first on what several act on: by place in the timeline, what is started by hand after that. */
  readonly rank: number;
  readonly kind: string;
  readonly stage: S;
  readonly beginMs: number;
  /** Moves to an earlier time where the fault is cleared by hand. */
  endMs: number;
  readonly settings: unknown;
  readonly effect: Effects[S];
}

/** An entry of the timeline that names a fault. */
export interface PlannedFault {
  /** The first part of its occurrences' ids: its place from 1, or a name. */
  readonly name: string;
  readonly place: number;
  readonly atS: number;
  /** How long, s; null: as long as the kind says, or to the end. */
  readonly forS: number | null;
  /** At random times in [atS, untilS), so many a second on average; null: once, at atS. */
  readonly chance: { readonly ratePerS: number; readonly untilS: number } | null;
  readonly fault: FaultKind;
  readonly settings: unknown;
}

/** One occurrence of an entry, with a random stream of its own. */
export function occurrenceOf(
  { name, place, fault, settings }: Pick<PlannedFault, 'name' | 'place' | 'fault' | 'settings'>,
  count: number,
  [beginMs, endMs]: readonly [number, number],
  streams: RandomStreams,
): Occurrence {
  const id = `${name}.${count}`;
  return {
    id,
    rank: place,
    kind: fault.name,
    stage: fault.stage,
    beginMs,
    endMs,
    settings,
    effect: fault.create(settings, streams.stream(`fault/${id}`)),
  };
}

/** The occurrences of an entry, in order of time; without end where its chance has none. */
export function* occurrencesOf(entry: PlannedFault, streams: RandomStreams): Generator<Occurrence, void> {
  const forMs = lengthS(entry) * 1000;
  const beginMs = milliseconds(entry.atS);
  if (entry.chance === null) {
    yield occurrenceOf(entry, 1, [beginMs, milliseconds(entry.atS + lengthS(entry))], streams);
    return;
  }
  const { ratePerS, untilS } = entry.chance;
  const times = streams.stream(`fault/${entry.name}/times`);
  // The time to the next, from the end of the last, is exponentially distributed: at a given rate, without memory.
  for (let atMs = beginMs, count = 1; ; count++) {
    atMs += (-Math.log(1 - times.uniform()) / ratePerS) * 1000;
    atMs = milliseconds(atMs / 1000);
    if (!(atMs < milliseconds(untilS))) return;
    const endMs = milliseconds((atMs + forMs) / 1000);
    yield occurrenceOf(entry, count, [atMs, endMs], streams);
    atMs = endMs;
  }
}

/** How long an entry is in force, s; Infinity: to the end. */
export function lengthS({ forS, fault, settings }: Pick<PlannedFault, 'forS' | 'fault' | 'settings'>): number {
  return forS ?? fault.lengthS?.(settings) ?? Infinity;
}

/** A time of the timeline, rounded to a microsecond, so that 4.1 min is 246000 ms. */
export function milliseconds(seconds: number): number {
  return seconds === Infinity ? Infinity : Math.round(seconds * 1e6) / 1e3;
}

/** True where the fault is in force at `atMs`. */
export function isInForce({ beginMs, endMs }: Occurrence, atMs: number): boolean {
  return atMs >= beginMs && atMs < endMs;
}

/** Narrows to a stage. */
export function isOfStage<S extends Stage>(occurrence: Occurrence, stage: S): occurrence is Occurrence<S> {
  return occurrence.stage === stage;
}
