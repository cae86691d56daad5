import { RAD_PER_DEG } from '../../base/constants.js';
import type { Ecef, Geodetic } from '../../base/frames.js';

/** Sines and cosines that turn east, north, up into ECEF. */
export interface LocalAxes {
  readonly sinLat: number;
  readonly cosLat: number;
  readonly sinLon: number;
  readonly cosLon: number;
}

export function localAxes({ latitudeDeg, longitudeDeg }: Geodetic): LocalAxes {
  const latRad = latitudeDeg * RAD_PER_DEG;
  const lonRad = longitudeDeg * RAD_PER_DEG;
  return { sinLat: Math.sin(latRad), cosLat: Math.cos(latRad), sinLon: Math.sin(lonRad), cosLon: Math.cos(lonRad) };
}

/** A place, or a vector, further by so much to the east, the north and upwards. */
export function moved(
  from: Ecef,
  { sinLat, cosLat, sinLon, cosLon }: LocalAxes,
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
