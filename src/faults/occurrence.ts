import type { RandomStreams } from '../base/random.js';
import type { Effects, FaultKind, Stage } from './fault.js';

/** One time that a fault is in force: [beginMs, endMs). */
export interface Occurrence<S extends Stage = Stage> {
  /** Place in the timeline and count of its occurrences: `3.1`. */
  readonly id: string;
  readonly kind: string;
  readonly stage: S;
  readonly beginMs: number;
  readonly endMs: number;
  readonly settings: unknown;
  readonly effect: Effects[S];
}

/** An entry of the timeline that names a fault. */
export interface PlannedFault {
  /** From 1. */
  readonly place: number;
  readonly atS: number;
  /** Null: as long as the kind says, or to the end. */
  readonly forS: number | null;
  readonly fault: FaultKind;
  readonly settings: unknown;
}

/** The occurrences that a timeline plans, in its order, each with a random stream of its own. */
export function planOccurrences(planned: readonly PlannedFault[], streams: RandomStreams): Occurrence[] {
  return planned.map((entry) => {
    const { place, atS, fault, settings } = entry;
    const id = `${place}.1`;
    return {
      id,
      kind: fault.name,
      stage: fault.stage,
      beginMs: milliseconds(atS),
      endMs: milliseconds(atS + lengthS(entry)),
      settings,
      effect: fault.create(settings, streams.stream(`fault/${id}`)),
    };
  });
}

/** How long an entry is in force, s; Infinity: to the end. */
export function lengthS({ forS, fault, settings }: Omit<PlannedFault, 'place' | 'atS'>): number {
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
