import { RAD_PER_DEG } from '../base/constants.js';
import { type Enu, ecefFromGeodetic, type Geodetic, LocalFrame } from '../base/frames.js';
import { arcOfChordM, inverse, NEAR_M, type Place } from './distance-m.js';

/**
 * Where a place is as seen from another: the geodesic's length and direction on WGS-84 as metres east and north, and
 * the difference of heights. Not the tangent plane's coordinates: the Earth's curvature does not count as being below,
 * and the root of the sum of squares of east and north is the distance on the ellipsoid.
 *
 * To 0.1 mm within 10 km; beyond that by geographiclib-geodesic, whose direction is the geodesic's own at the start.
 */
export function localOffset(from: Geodetic, to: Geodetic): Enu {
  const upM = to.heightM - from.heightM;
  const p = ecefFromGeodetic({ ...from, heightM: 0 });
  const q = ecefFromGeodetic({ ...to, heightM: 0 });
  const x = q.xM - p.xM;
  const y = q.yM - p.yM;
  const z = q.zM - p.zM;
  const chordM = Math.hypot(x, y, z);
  if (chordM > NEAR_M) {
    const { distanceM, azimuthDeg } = inverse(from, to);
    const azimuthRad = azimuthDeg * RAD_PER_DEG;
    return { eastM: distanceM * Math.sin(azimuthRad), northM: distanceM * Math.cos(azimuthRad), upM };
  }
  const { eastM, northM } = new LocalFrame(from.latitudeDeg, from.longitudeDeg).toEnu(x, y, z);
  const levelM = Math.hypot(eastM, northM);
  const scale = levelM === 0 ? 1 : arcOfChordM(chordM) / levelM;
  return { eastM: eastM * scale, northM: northM * scale, upM };
}

/** The same of places without heights: m east and north. */
export function levelOffset(from: Place, to: Place): Pick<Enu, 'eastM' | 'northM'> {
  return localOffset({ ...from, heightM: 0 }, { ...to, heightM: 0 });
}
