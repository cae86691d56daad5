/**
 * Percentile by nearest rank: the smallest of the values with at least so many percent of all at or below it. It is
 * always one of the values, never one between two.
 * @param sorted ascending, not empty
 * @param percent 0 to 100; 0 is the smallest value
 * @throws RangeError without values, or with a percentage outside
 * Source: definition 1 of R. J. Hyndman and Y. Fan, "Sample Quantiles in Statistical Packages", The American
 * Statistician 50 (1996), the inverse of the empirical distribution function.
 */
export function percentile(sorted: readonly number[], percent: number): number {
  if (sorted.length === 0) throw new RangeError('a percentile needs at least one value');
  return sorted[rankOf(sorted.length, percent) - 1] as number;
}

/**
 * The rank of that percentile among so many values, from 1.
 * @param count 1 or more @param percent 0 to 100
 * @throws RangeError with a percentage outside
 */
export function rankOf(count: number, percent: number): number {
  if (!(percent >= 0 && percent <= 100)) throw new RangeError(`a percentage is 0 to 100, not ${percent}`);
  // percent / 100 * count rounds up where it is whole: 0.07 * 100 is above 7.
  return Math.max(1, Math.ceil((percent * count) / 100));
}
