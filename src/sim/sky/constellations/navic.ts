import { GEOSTATIONARY_M } from '../../../base/constants.js';
import type { Satellite } from '../orbit.js';
import { keplerSatellite } from './kepler-satellite.js';
import type { ReferenceContext } from './reference-context.js';
import { geostationary, synchronous } from './synchronous.js';

/** NavIC's inclined satellites: IRNSS SPS signal-in-space ICD 1.1, 2.1 (from memory). */
const SHAPE = {
  system: 'navic',
  semiMajorM: GEOSTATIONARY_M,
  inclinationDeg: 29,
  eccentricity: 0,
  perigeeDeg: 0,
} as const;

/**
 * Number, longitude of the figure of eight (deg E; same source), argument of latitude on the reference day (deg; our
 * own choice: two share a track, half a day apart).
 */
const SYNCHRONOUS: ReadonlyArray<readonly [number: number, longitudeDeg: number, latitudeArgumentDeg: number]> = [
  [2, 55, 20],
  [9, 55, 200],
  [4, 111.75, 110],
  [5, 111.75, 290],
];

/** Number and longitude, deg E (same source). */
const GEOSTATIONARY: ReadonlyArray<readonly [number: number, longitudeDeg: number]> = [
  [3, 83],
  [6, 32.5],
  [7, 129.5],
];

/** NavIC: four inclined geosynchronous satellites and three geostationary ones. */
export function navicSatellites(context: ReferenceContext): Satellite[] {
  return [
    ...SYNCHRONOUS.map(([number, longitudeDeg, at]) => synchronous(SHAPE, number, longitudeDeg, at)),
    ...GEOSTATIONARY.map(([number, longitudeDeg]) => geostationary('navic', number, longitudeDeg)),
  ].map((elements) => keplerSatellite(elements, context));
}
