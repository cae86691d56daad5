import { Tally } from './tally.js';

/** A step of so many usual ones is a gap: an epoch or more is missing. */
const GAP_STEPS = 1.5;
/** Where more of the steps than this share are none, several epochs have one stamp. */
const COARSE_SHARE = 0.2;
/** Stamps of even epochs are rounded by less, ms; of others more than this share is off by more. */
const ROUNDING_MS = 10;
const WANDERING_SHARE = 0.05;

/** What is usual from epoch to epoch. */
export interface Rhythm {
  /** From one epoch to the next, ms. */
  readonly intervalMs: number;
  /** The usual step; where several epochs have one stamp, of those steps that are any, ms. */
  readonly stepMs: number;
  /** A longer step is a gap, ms. */
  readonly gapMs: number;
  /** Whether several epochs have one stamp: whole seconds at 5 Hz. */
  readonly isCoarse: boolean;
  /** The stamps themselves are not evenly spaced. */
  readonly isWandering: boolean;
}

/**
 * The rhythm that steps from epoch to epoch show.
 * @param steps ms
 * @returns null: there are no steps, or none that is longer than nothing
 */
export function rhythmOf(steps: Tally, source: 'stamps' | 'arrival'): Rhythm | null {
  const entries = steps.entries();
  const same = entries.find(([stepMs]) => stepMs === 0)?.[1] ?? 0;
  const isCoarse = same > COARSE_SHARE * steps.count;
  const some = new Tally(1);
  for (const [stepMs, count] of entries) if (stepMs > 0 || !isCoarse) some.add(stepMs, count);
  const stepMs = some.percentile(50);
  if (stepMs === null || stepMs === 0) return null;
  const gapMs = stepMs * GAP_STEPS;
  // A stamp that comes twice now and then tells nothing of the rate.
  const usual = entries.filter(([each]) => each <= gapMs && (each > 0 || isCoarse));
  const count = usual.reduce((sum, [, each]) => sum + each, 0);
  const meanMs = usual.reduce((sum, [each, times]) => sum + each * times, 0) / count;
  const off = usual.reduce((sum, [each, times]) => sum + (Math.abs(each - stepMs) > ROUNDING_MS ? times : 0), 0);
  const isWandering = source === 'stamps' && !isCoarse && off > WANDERING_SHARE * count;
  return { intervalMs: isCoarse || isWandering ? meanMs : stepMs, stepMs, gapMs, isCoarse, isWandering };
}

/** Root mean square of the steps about the interval, gaps left out, ms; null: there are none. */
export function jitterOf(steps: Tally, source: 'stamps' | 'arrival', { intervalMs, gapMs }: Rhythm): number | null {
  const usual = steps.entries().filter(([stepMs]) => stepMs <= gapMs && (stepMs > 0 || source === 'arrival'));
  const count = usual.reduce((sum, [, each]) => sum + each, 0);
  if (count === 0) return null;
  const squares = usual.reduce((sum, [stepMs, each]) => sum + each * (stepMs - intervalMs) ** 2, 0);
  return Math.sqrt(squares / count);
}
