/** A position that moves in time: seconds, and metres from any one place. */
export interface TimedOffset {
  readonly tS: number;
  readonly eastM: number;
  readonly northM: number;
}

/** A straight line through positions over time. */
export interface Drift {
  readonly count: number;
  /** Slope, m/s. */
  readonly eastMps: number;
  readonly northMps: number;
  /** Both together, m/s. */
  readonly speedMps: number;
  /**
   * Standard error of the slope, m/s. It takes the deviations from the line for independent of each other; positions of
   * a receiver are not, so that the slope is less certain than it says.
   */
  readonly eastStandardErrorMps: number;
  readonly northStandardErrorMps: number;
  /** Standard deviation about the line, m. */
  readonly eastResidualM: number;
  readonly northResidualM: number;
}

/**
 * Drift by least squares: slope = Sxy / Sxx; standard error sqrt(SSE / (n - 2) / Sxx). Source: textbook formulas of
 * simple linear regression, from memory.
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
  const east = lineOf(points, meanS, sxx, (point) => point.eastM);
  const north = lineOf(points, meanS, sxx, (point) => point.northM);
  return {
    count,
    eastMps: east.slope,
    northMps: north.slope,
    speedMps: Math.hypot(east.slope, north.slope),
    eastStandardErrorMps: east.residual / Math.sqrt(sxx),
    northStandardErrorMps: north.residual / Math.sqrt(sxx),
    eastResidualM: east.residual,
    northResidualM: north.residual,
  };
}

function lineOf(
  points: readonly TimedOffset[],
  meanS: number,
  sxx: number,
  read: (point: TimedOffset) => number,
): { slope: number; residual: number } {
  let mean = 0;
  for (const point of points) mean += read(point) / points.length;
  let sxy = 0;
  for (const point of points) sxy += (point.tS - meanS) * (read(point) - mean);
  const slope = sxy / sxx;
  let squares = 0;
  for (const point of points) squares += (read(point) - mean - slope * (point.tS - meanS)) ** 2;
  return { slope, residual: Math.sqrt(squares / (points.length - 2)) };
}
