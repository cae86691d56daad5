import { percentile } from './percentile.js';

/** Scatter of heights or of another single value, m. */
export interface VerticalScatter {
  readonly count: number;
  readonly meanM: number;
  /** Root mean square deviation from the mean, divided by the count. */
  readonly sigmaM: number;
  /** 95 % of the values lie within it of the mean, by nearest rank. */
  readonly r95M: number;
  /** 95 % of the values lie within it of zero, by nearest rank: of errors the 95 % error. */
  readonly r95AboutZeroM: number;
  readonly minM: number;
  readonly maxM: number;
}

/**
 * Scatter of heights, in one dimension.
 * @param heights heights or height errors, m, not empty, finite
 * @throws RangeError without heights
 */
export function verticalScatter(heights: readonly number[]): VerticalScatter {
  let sum = 0;
  for (const height of heights) sum += height;
  const meanM = sum / heights.length;
  let squares = 0;
  let minM = Number.POSITIVE_INFINITY;
  let maxM = Number.NEGATIVE_INFINITY;
  for (const height of heights) {
    squares += (height - meanM) ** 2;
    minM = Math.min(minM, height);
    maxM = Math.max(maxM, height);
  }
  return {
    count: heights.length,
    meanM,
    sigmaM: Math.sqrt(squares / heights.length),
    r95M: within95(heights, meanM),
    r95AboutZeroM: within95(heights, 0),
    minM,
    maxM,
  };
}

function within95(heights: readonly number[], centreM: number): number {
  const distances = heights.map((height) => Math.abs(height - centreM)).sort((a, b) => a - b);
  return percentile(distances, 95);
}
