import type { Satellite } from '../orbit.js';
import { keplerSatellite } from './kepler-satellite.js';
import type { ReferenceContext } from './reference-context.js';
import { geostationary, synchronous } from './synchronous.js';

/** IS-QZSS-PNT, 3.1 (from memory): eccentric orbits that dwell north of the equator. */
const SHAPE = {
  system: 'qzss',
  semiMajorM: 42_165_000,
  inclinationDeg: 41,
  eccentricity: 0.075,
  perigeeDeg: 270,
} as const;

/** Longitude of the figure of eight's axis, deg E (IS-QZSS-PNT, from memory). */
const LONGITUDE_DEG = 139;

/**
 * Number and mean anomaly, deg, on the reference day: as broadcast, rounded. J04 stands where J01 did, its forerunner.
 */
const SYNCHRONOUS: ReadonlyArray<readonly [number: number, meanAnomalyDeg: number]> = [
  [2, 50],
  [3, 310],
  [4, 180],
];

/** The geostationary one, and its longitude, deg E (from memory). */
const GEOSTATIONARY_NUMBER = 7;
const GEOSTATIONARY_LONGITUDE_DEG = 127;

/** QZSS: three eccentric geosynchronous satellites and a geostationary one. */
export function qzssSatellites(context: ReferenceContext): Satellite[] {
  return [
    ...SYNCHRONOUS.map(([number, meanAnomalyDeg]) => synchronous(SHAPE, number, LONGITUDE_DEG, meanAnomalyDeg)),
    geostationary('qzss', GEOSTATIONARY_NUMBER, GEOSTATIONARY_LONGITUDE_DEG),
  ].map((elements) => keplerSatellite(elements, context));
}
