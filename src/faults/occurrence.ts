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
  /** At random times in [atS, untilS), so many a second on average; null: once, at atS. Rate x length is below 1. */
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

/**
 * The occurrences of an entry, in order of time; without end where its chance has none.
 *
 * Those of a chance do not overlap: each is in force for its length L, then there is none for an exponentially
 * distributed gap. With a mean gap of 1/rate - L the mean time from one beginning to the next is L + (1/rate - L) =
 * 1/rate. The count starts at `at` as if they had come for long: with a probability of rate x L one that began earlier
 * would be in force, with a rest that is uniform in [0, L). It is left out, and the first gap begins once it would be
 * over. So the mean number of beginnings in a time T is rate x T, exactly and from the start. Source: D. R. Cox,
 * Renewal Theory, sections 2.2 and 4.2 (equilibrium renewal process), from memory.
 */
export function* occurrencesOf(entry: PlannedFault, streams: RandomStreams): Generator<Occurrence, void> {
  const forS = lengthS(entry);
  const beginMs = milliseconds(entry.atS);
  if (entry.chance === null) {
    yield occurrenceOf(entry, 1, [beginMs, milliseconds(entry.atS + forS)], streams);
    return;
  }
  const { ratePerS, untilS } = entry.chance;
  const gapS = 1 / ratePerS - forS;
  // The reader refuses it.
  if (!(gapS > 0)) throw new Error(`occurrences of ${forS} s cannot come ${ratePerS} times a second`);
  const times = streams.stream(`fault/${entry.name}/times`);
  const leftS = times.uniform() / ratePerS;
  let atMs = beginMs + (leftS < forS ? leftS * 1000 : 0);
  for (let count = 1; ; count++) {
    atMs = milliseconds(atMs / 1000 - Math.log(1 - times.uniform()) * gapS);
    if (!(atMs < milliseconds(untilS))) return;
    const endMs = milliseconds(atMs / 1000 + forS);
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
