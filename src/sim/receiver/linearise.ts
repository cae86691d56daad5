import { RAD_PER_DEG } from '../../base/constants.js';
import type { Ecef, Geodetic } from '../../base/frames.js';
import type { Measurement } from './measurement.js';

/** East, north and up at a place. */
export interface Axes {
  readonly sinLat: number;
  readonly cosLat: number;
  readonly sinLon: number;
  readonly cosLon: number;
}

/** The axes at a place. */
export function localAxes({ latitudeDeg, longitudeDeg }: Geodetic): Axes {
  const latRad = latitudeDeg * RAD_PER_DEG;
  const lonRad = longitudeDeg * RAD_PER_DEG;
  return { sinLat: Math.sin(latRad), cosLat: Math.cos(latRad), sinLon: Math.sin(lonRad), cosLon: Math.cos(lonRad) };
}

/** A place moved by so much in east, north, up, m; a velocity turns likewise from the zero vector. */
export function moved(
  from: Ecef,
  { sinLat, cosLat, sinLon, cosLon }: Axes,
  east: number,
  north: number,
  up: number,
): Ecef {
  const along = cosLat * up - sinLat * north;
  return {
    xM: from.xM + cosLon * along - sinLon * east,
    yM: from.yM + sinLon * along + cosLon * east,
    zM: from.zM + cosLat * north + sinLat * up,
  };
}

/**
 * Fills row `i` of the range equations at a place: -(unit vector to the satellite) in east, north, up.
 * @param slopes three a row
 * @param distances of the satellites, m: one a row
 */
export function linearise(
  slopes: Float64Array,
  distances: Float64Array,
  { state }: Measurement,
  i: number,
  position: Ecef,
  axes: Axes,
): void {
  const { sinLat, cosLat, sinLon, cosLon } = axes;
  const dx = state.xM - position.xM;
  const dy = state.yM - position.yM;
  const dz = state.zM - position.zM;
  const distanceM = Math.sqrt(dx * dx + dy * dy + dz * dz);
  const per = 1 / distanceM;
  const along = cosLon * dx + sinLon * dy;
  slopes[3 * i] = (sinLon * dx - cosLon * dy) * per;
  slopes[3 * i + 1] = (sinLat * along - cosLat * dz) * per;
  slopes[3 * i + 2] = -(cosLat * along + sinLat * dz) * per;
  distances[i] = distanceM;
}
