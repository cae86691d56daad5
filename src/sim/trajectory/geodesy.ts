import geographiclib from 'geographiclib-geodesic';
import { RAD_PER_DEG, WGS84_FLATTENING, WGS84_SEMI_MAJOR_M } from '../../base/constants.js';
import { ecefFromGeodetic } from '../../base/frames.js';
import type { Place } from './route.js';

const { Geodesic } = geographiclib;

/** What a position on a geodesic needs to tell: latitude, longitude, azimuth. */
const POSITION = Geodesic.LATITUDE | Geodesic.LONGITUDE | Geodesic.AZIMUTH;
const LINE = POSITION | Geodesic.DISTANCE_IN;
const E2 = WGS84_FLATTENING * (2 - WGS84_FLATTENING);

/** A place on the ellipsoid with the azimuth, deg true, in which the geodesic passes it. */
export interface GeodesicPoint {
  latitudeDeg: number;
  longitudeDeg: number;
  azimuthDeg: number;
}

/** The geodesic between two places on WGS-84. */
export interface GeodesicLeg {
  readonly lengthM: number;
  /** Azimuth at the start and at the end, both in the direction of travel, deg true. */
  readonly startAzimuthDeg: number;
  readonly endAzimuthDeg: number;
  /** The point `distanceM` from the start. */
  at(distanceM: number): GeodesicPoint;
}

/**
 * The shortest geodesic from one place to another: inverse problem once, then direct positions on the line.
 * Source: C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013), by geographiclib-geodesic.
 */
export function geodesicBetween(from: Place, to: Place): GeodesicLeg {
  const inverse = Geodesic.WGS84.Inverse(
    from.latitudeDeg,
    from.longitudeDeg,
    to.latitudeDeg,
    to.longitudeDeg,
    Geodesic.DISTANCE | Geodesic.AZIMUTH,
  );
  const startAzimuthDeg = inverse.azi1!;
  const line = Geodesic.WGS84.DirectLine(from.latitudeDeg, from.longitudeDeg, startAzimuthDeg, inverse.s12!, LINE);
  return {
    lengthM: inverse.s12!,
    startAzimuthDeg,
    endAzimuthDeg: inverse.azi2!,
    at(distanceM) {
      const point = line.Position(distanceM, POSITION);
      return { latitudeDeg: point.lat2!, longitudeDeg: wrapLongitudeDeg(point.lon2!), azimuthDeg: point.azi2! };
    },
  };
}

/**
 * The point at a distance and azimuth from a centre, with the reduced length m12 of the geodesic, m: by how much the
 * point moves sideways for a radian of azimuth (Karney 2013, section 3).
 */
export function polarPoint(centre: Place, azimuthDeg: number, distanceM: number): GeodesicPoint & { reducedM: number } {
  const point = Geodesic.WGS84.Direct(
    centre.latitudeDeg,
    centre.longitudeDeg,
    azimuthDeg,
    distanceM,
    POSITION | Geodesic.REDUCEDLENGTH,
  );
  return {
    latitudeDeg: point.lat2!,
    longitudeDeg: wrapLongitudeDeg(point.lon2!),
    azimuthDeg: point.azi2!,
    reducedM: point.m12!,
  };
}

/** Straight distance between two places on the ellipsoid, m: enough to tell whether they are the same place. */
export function chordM(a: Place, b: Place): number {
  const p = ecefFromGeodetic({ latitudeDeg: a.latitudeDeg, longitudeDeg: a.longitudeDeg, heightM: 0 });
  const q = ecefFromGeodetic({ latitudeDeg: b.latitudeDeg, longitudeDeg: b.longitudeDeg, heightM: 0 });
  return Math.hypot(p.xM - q.xM, p.yM - q.yM, p.zM - q.zM);
}

/** Radii of curvature of the ellipsoid in the meridian and across it, m (NGA.STND.0036, section 4). */
export function curvatureRadiiM(latitudeDeg: number): { meridianM: number; primeVerticalM: number } {
  const sinLat = Math.sin(latitudeDeg * RAD_PER_DEG);
  const w2 = 1 - E2 * sinLat * sinLat;
  const primeVerticalM = WGS84_SEMI_MAJOR_M / Math.sqrt(w2);
  return { meridianM: (primeVerticalM * (1 - E2)) / w2, primeVerticalM };
}

/** Longitude in [-180, 180) deg, of one in [-360, 360]. */
export function wrapLongitudeDeg(longitudeDeg: number): number {
  if (longitudeDeg >= 180) return longitudeDeg - 360;
  return longitudeDeg < -180 ? longitudeDeg + 360 : longitudeDeg;
}

/** Course in [0, 360) deg. */
export function wrapCourseDeg(courseDeg: number): number {
  const rest = courseDeg - 360 * Math.floor(courseDeg / 360);
  // A tiny negative angle rounds up to the full circle, and the tiniest are lost in the division.
  return rest >= 360 || rest < 0 ? 0 : rest;
}

/** Turn from one course to another by the shorter way, (-180, 180] deg, positive clockwise. */
export function turnDeg(fromDeg: number, toDeg: number): number {
  const turn = wrapCourseDeg(toDeg - fromDeg);
  return turn > 180 ? turn - 360 : turn;
}
