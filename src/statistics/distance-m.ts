import geographiclib from 'geographiclib-geodesic';
import { EARTH_MEAN_RADIUS_M } from '../base/constants.js';
import { ecefFromGeodetic } from '../base/frames.js';

const { Geodesic } = geographiclib;

/** A place on the ellipsoid, deg. */
export interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

/** Up to here the chord tells the geodesic to 0.1 mm, whatever the direction, m. */
export const NEAR_M = 10_000;

/**
 * Horizontal distance of two places: the shortest geodesic on WGS-84, to 0.1 mm. Heights have no part in it.
 * Source: beyond 10 km C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013), by
 * geographiclib-geodesic; nearer the chord, see {@link arcOfChordM}.
 * @returns m, 0 or more
 */
export function distanceM(a: Place, b: Place): number {
  const p = ecefFromGeodetic({ latitudeDeg: a.latitudeDeg, longitudeDeg: a.longitudeDeg, heightM: 0 });
  const q = ecefFromGeodetic({ latitudeDeg: b.latitudeDeg, longitudeDeg: b.longitudeDeg, heightM: 0 });
  const chordM = Math.hypot(q.xM - p.xM, q.yM - p.yM, q.zM - p.zM);
  return chordM <= NEAR_M ? arcOfChordM(chordM) : inverse(a, b).distanceM;
}

/**
 * Length of the geodesic over a chord of up to 10 km: c + c^3 / (24 R^2), the first terms of 2 R asin(c / 2R). The
 * correction is 1 mm at 10 km, and 1.4 % of it where the ellipsoid's radius of curvature differs from the mean radius.
 */
export function arcOfChordM(chordM: number): number {
  return chordM + chordM ** 3 / (24 * EARTH_MEAN_RADIUS_M ** 2);
}

/** Distance, m, and azimuth at the first place, deg true, of the shortest geodesic (Karney 2013). */
export function inverse(from: Place, to: Place): { distanceM: number; azimuthDeg: number } {
  const { s12, azi1 } = Geodesic.WGS84.Inverse(
    from.latitudeDeg,
    from.longitudeDeg,
    to.latitudeDeg,
    to.longitudeDeg,
    Geodesic.DISTANCE | Geodesic.AZIMUTH,
  );
  return { distanceM: s12 as number, azimuthDeg: azi1 as number };
}
