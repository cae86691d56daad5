import { DEG_PER_RAD } from '../../base/constants.js';
import { curvatureRadiiM, wrapCourseDeg } from './geodesy.js';
import type { Motion } from './trajectory.js';

/** Movement along the ellipsoid's surface. */
export interface SurfaceMotion {
  latitudeDeg: number;
  longitudeDeg: number;
  /** Components of the velocity of the foot point on the ellipsoid, m/s. */
  northMps: number;
  eastMps: number;
}

/** Slower than this counts as standing, m/s: rounding leaves about as much of an exact zero. */
const STANDING_MPS = 1e-9;

/**
 * The motion of an antenna above its foot point: at a height h it moves by (1 + h/M) northward and (1 + h/N) eastward
 * of what the foot point does, M and N being the radii of curvature.
 * @param standingCourseDeg what the course is where there is no speed
 */
export function motionAbove(
  surface: SurfaceMotion,
  altitudeMslM: number,
  climbMps: number,
  standingCourseDeg: number,
): Motion {
  const { meridianM, primeVerticalM } = curvatureRadiiM(surface.latitudeDeg);
  const northMps = surface.northMps * (1 + altitudeMslM / meridianM);
  const eastMps = surface.eastMps * (1 + altitudeMslM / primeVerticalM);
  const speedMps = Math.sqrt(northMps * northMps + eastMps * eastMps);
  const moves = speedMps > STANDING_MPS;
  return {
    latitudeDeg: surface.latitudeDeg,
    longitudeDeg: surface.longitudeDeg,
    altitudeMslM,
    speedMps: moves ? speedMps : 0,
    courseDeg: moves ? wrapCourseDeg(Math.atan2(eastMps, northMps) * DEG_PER_RAD) : standingCourseDeg,
    climbMps,
  };
}
