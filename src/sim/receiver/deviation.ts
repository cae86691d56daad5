import { DEG_PER_RAD } from '../../base/constants.js';
import type { PositionDeviation } from '../epoch.js';
import type { Solution } from './solution.js';

/**
 * What GST tells of a solution: standard deviations, and the ellipse of one sigma, whose axes are the eigenvectors of
 * the horizontal covariance.
 */
export function deviationOf({
  covariance,
  sigma,
  rangeRmsM,
}: Pick<Solution, 'covariance' | 'sigma' | 'rangeRmsM'>): PositionDeviation {
  const { eastM2, northM2, eastNorthM2 } = covariance;
  const mean = (eastM2 + northM2) / 2;
  const half = (northM2 - eastM2) / 2;
  const root = Math.sqrt(half * half + eastNorthM2 * eastNorthM2);
  const axisDeg = (Math.atan2(eastNorthM2, half) / 2) * DEG_PER_RAD;
  return {
    rangeRmsM,
    majorM: Math.sqrt(mean + root),
    // Of a line's covariance rounding may leave less than nothing.
    minorM: Math.sqrt(Math.max(0, mean - root)),
    // A tiny negative angle plus 180 would be 180 itself.
    orientationDeg: axisDeg < 0 ? (axisDeg + 180) % 180 : axisDeg,
    latitudeM: sigma.northM,
    longitudeM: sigma.eastM,
    altitudeM: sigma.upM,
  };
}
