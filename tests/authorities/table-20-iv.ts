/** A vector in m, or m/s. */
export type Vector = readonly [number, number, number];

/** What an almanac says of one satellite, in the units of the user algorithm. */
export interface AlmanacElements {
  readonly prn: number;
  readonly toaS: number;
  readonly eccentricity: number;
  readonly inclinationRad: number;
  readonly nodeRateRadps: number;
  readonly rootSemiMajor: number;
  readonly nodeRad: number;
  readonly perigeeRad: number;
  readonly meanAnomalyRad: number;
}

/** IS-GPS-200, table 20-IV: gravitational constant, m3/s2, and rotation rate of the Earth, rad/s. */
const MU = 3.986005e14;
const OMEGA_EARTH = 7.2921151467e-5;

/**
 * IS-GPS-200, table 20-IV, on almanac elements, step by step as in the table, but: Kepler's equation by bisection, and
 * the plane's rotation done in an inertial frame.
 * @param sinceToaS time from the time of applicability, s
 * @returns position in the frame that does not rotate and agrees with the Earth-fixed one at the week's start, m
 */
export function inertialPosition(almanac: AlmanacElements, sinceToaS: number): Vector {
  const { eccentricity: e, inclinationRad: i0 } = almanac;
  const a = almanac.rootSemiMajor ** 2;
  const meanAnomaly = almanac.meanAnomalyRad + Math.sqrt(MU / a ** 3) * sinceToaS;
  const eccentricAnomaly = solveKepler(meanAnomaly, e);
  const trueAnomaly = Math.atan2(Math.sqrt(1 - e * e) * Math.sin(eccentricAnomaly), Math.cos(eccentricAnomaly) - e);
  const latitudeArgument = trueAnomaly + almanac.perigeeRad;
  const radiusM = a * (1 - e * Math.cos(eccentricAnomaly));
  const node = almanac.nodeRad + almanac.nodeRateRadps * sinceToaS;
  const inPlane: Vector = [radiusM * Math.cos(latitudeArgument), radiusM * Math.sin(latitudeArgument), 0];
  return turnedAboutZ(tiltedAboutX(inPlane, i0), node);
}

/** The angle by which the Earth has turned since the start of the week of applicability, rad. */
export function earthAngle(almanac: AlmanacElements, sinceToaS: number): number {
  return OMEGA_EARTH * (almanac.toaS + sinceToaS);
}

/** Position in the Earth-fixed frame, m. */
export function earthFixedPosition(almanac: AlmanacElements, sinceToaS: number): Vector {
  return turnedAboutZ(inertialPosition(almanac, sinceToaS), -earthAngle(almanac, sinceToaS));
}

/** E - e sin E = M by halving an interval that holds the root: sin is within one of zero. */
function solveKepler(meanAnomaly: number, e: number): number {
  let [low, high] = [meanAnomaly - e, meanAnomaly + e];
  for (let pass = 0; pass < 60; pass++) {
    const middle = (low + high) / 2;
    if (middle - e * Math.sin(middle) < meanAnomaly) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function tiltedAboutX([x, y, z]: Vector, angle: number): Vector {
  return [x, y * Math.cos(angle) - z * Math.sin(angle), y * Math.sin(angle) + z * Math.cos(angle)];
}

/** Rotates a vector about the z axis, counter-clockwise as seen from north. */
export function turnedAboutZ([x, y, z]: Vector, angle: number): Vector {
  return [x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle), z];
}

export function difference([ax, ay, az]: Vector, [bx, by, bz]: Vector): Vector {
  return [ax - bx, ay - by, az - bz];
}

export function length([x, y, z]: Vector): number {
  return Math.hypot(x, y, z);
}
