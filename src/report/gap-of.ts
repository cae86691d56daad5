import { percentile } from '../statistics/percentile.js';

/** A line is parted where points lie further apart than so many times their usual distance. */
const GAP_INTERVALS = 3.5;

/**
 * From which distance on points of a line are apart: by the median distance of those that follow each other.
 * @param timesS ascending, s
 * @param leastS never less than this, s
 * @returns s; Infinity where nothing tells
 */
export function gapOf(timesS: readonly number[], leastS = 0): number {
  const apart = timesS.slice(1).map((timeS, i) => timeS - (timesS[i] as number));
  if (apart.length === 0) return Number.POSITIVE_INFINITY;
  apart.sort((a, b) => a - b);
  const gapS = Math.max(leastS, GAP_INTERVALS * percentile(apart, 50));
  return gapS > 0 ? gapS : Number.POSITIVE_INFINITY;
}
