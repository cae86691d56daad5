/** A position that moves in time: seconds, and metres from any one place. */
export interface TimedOffset {
  readonly tS: number;
  readonly eastM: number;
  readonly northM: number;
}

/** A straight line through positions over time: its slope, m/s. */
export interface Drift {
  readonly eastMps: number;
  readonly northMps: number;
}

/**
 * Drift by least squares: slope = Sxy / Sxx. Source: textbook formula of simple linear regression, from memory. It
 * tells nothing of how certain it is: positions of a receiver are not independent of each other.
 * @param points in any order, finite
 * @returns null: fewer than three points, or all at one time
 */
export function driftOf(points: readonly TimedOffset[]): Drift | null {
  const count = points.length;
  if (count < 3) return null;
  let tS = 0;
  for (const point of points) tS += point.tS;
  const meanS = tS / count;
  let sxx = 0;
  for (const point of points) sxx += (point.tS - meanS) ** 2;
  if (sxx === 0) return null;
  const slopeOf = (read: (point: TimedOffset) => number) => {
    let mean = 0;
    for (const point of points) mean += read(point) / count;
    let sxy = 0;
    for (const point of points) sxy += (point.tS - meanS) * (read(point) - mean);
    return sxy / sxx;
  };
  return { eastMps: slopeOf(({ eastM }) => eastM), northMps: slopeOf(({ northM }) => northM) };
}
