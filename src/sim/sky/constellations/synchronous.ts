import { GEOSTATIONARY_M } from '../../../base/constants.js';
import { earthRotationOf, GEO_TILT_DEG } from '../kepler-record.js';
import type { KeplerSystem, ReferenceElements } from './kepler-satellite.js';
import { repeatingRates } from './mean-motion.js';
import { REFERENCE_DAY } from './reference-day.js';

/** A satellite that stands above a place of the equator. */
export function geostationary(system: KeplerSystem, number: number, longitudeDeg: number): ReferenceElements {
  // Seen from BeiDou's tilted plane the equator's node lies at 180 deg.
  const [inclinationDeg, nodeDeg] = system === 'beidou' ? [GEO_TILT_DEG, 180] : [0, 0];
  return {
    system,
    number,
    orbitClass: 'geo',
    epoch: null,
    semiMajorM: GEOSTATIONARY_M,
    eccentricity: 0,
    inclinationDeg,
    nodeLongitudeDeg: nodeDeg,
    nodeRateRadps: 0,
    perigeeDeg: 0,
    meanAnomalyDeg: longitudeDeg - nodeDeg,
    meanMotionRadps: earthRotationOf(system),
  };
}

/** What is common to the inclined geosynchronous satellites of a system. */
export interface SynchronousShape {
  readonly system: KeplerSystem;
  readonly semiMajorM: number;
  readonly inclinationDeg: number;
  readonly eccentricity: number;
  readonly perigeeDeg: number;
}

/**
 * A satellite whose ground track is a figure of eight about a longitude.
 * @param meanAnomalyDeg on {@link REFERENCE_DAY}
 */
export function synchronous(
  shape: SynchronousShape,
  number: number,
  longitudeDeg: number,
  meanAnomalyDeg: number,
): ReferenceElements {
  const { system, semiMajorM, inclinationDeg, perigeeDeg } = shape;
  return {
    ...shape,
    ...repeatingRates(system, semiMajorM, inclinationDeg, [1, 1]),
    number,
    orbitClass: 'igso',
    epoch: REFERENCE_DAY,
    // The sum of the three angles is the longitude, at all times.
    nodeLongitudeDeg: longitudeDeg - perigeeDeg - meanAnomalyDeg,
    meanAnomalyDeg,
  };
}
