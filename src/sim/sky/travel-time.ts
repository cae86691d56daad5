import { SPEED_OF_LIGHT_MPS, WGS84_SEMI_MAJOR_M } from '../../base/constants.js';

/** Typical travel time of a signal from an orbit of this radius or semi-major axis, s: between zenith and horizon. */
export function typicalTravelS(radiusM: number): number {
  const overheadM = radiusM - WGS84_SEMI_MAJOR_M;
  const levelM = Math.sqrt(radiusM ** 2 - WGS84_SEMI_MAJOR_M ** 2);
  return (overheadM + levelM) / (2 * SPEED_OF_LIGHT_MPS);
}
