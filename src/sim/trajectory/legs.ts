import { WGS84_SEMI_MAJOR_M } from '../../base/constants.js';
import type { Surroundings } from '../surroundings.js';
import { type GeodesicLeg, geodesicBetween } from './geodesy.js';
import type { Place } from './route.js';

/** A place whose height is known. */
export type Waypoint = Required<Place>;

/** How a leg is to be travelled. */
export interface LegManner {
  readonly speedMps: number;
  readonly accelerationMps2: number;
  readonly turnRadiusM?: number;
  readonly yawRateDegps: number;
  readonly surroundings?: Surroundings;
}

/** One geodesic between two waypoints of a path. */
export interface Leg {
  readonly from: Waypoint;
  readonly to: Waypoint;
  readonly line: GeodesicLeg;
  readonly manner: LegManner;
  /** Highest speed of the foot point on the ellipsoid, m/s: at a height the antenna itself is a little faster. */
  readonly surfaceSpeedMps: number;
}

/** A leg from one waypoint to the next. */
export function legBetween(from: Waypoint, to: Waypoint, manner: LegManner): Leg {
  const highestM = Math.max(from.altitudeMslM, to.altitudeMslM);
  return {
    from,
    to,
    line: geodesicBetween(from, to),
    manner,
    surfaceSpeedMps: manner.speedMps / (1 + highestM / WGS84_SEMI_MAJOR_M),
  };
}
