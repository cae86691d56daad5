import { GEOSTATIONARY_M } from '../../../base/constants.js';
import type { Satellite } from '../orbit.js';
import { keplerSatellite, type ReferenceElements } from './kepler-satellite.js';
import { repeatingRates } from './mean-motion.js';
import type { ReferenceContext } from './reference-context.js';
import { REFERENCE_DAY } from './reference-day.js';
import { geostationary, synchronous } from './synchronous.js';

/**
 * BeiDou B1I 3.0, 3.1: 24 satellites at 21,528 km, inclination 55 deg, Walker 24/3/1; ground tracks repeat in 7 days.
 */
const MEO_SEMI_MAJOR_M = 27_906_100;
const INCLINATION_DEG = 55;
const MEO_RATES = repeatingRates('beidou', MEO_SEMI_MAJOR_M, INCLINATION_DEG, [13, 7]);

/**
 * By plane: east longitude of the ascending node (deg), argument of latitude of the first slot (deg) on
 * {@link REFERENCE_DAY}, and the satellite numbers of its eight slots, 45 deg apart. The numbers are those of the
 * satellites that stood there; C41 to C46 fill slots of which the day's messages say nothing (our own choice).
 */
const MEO_PLANES: ReadonlyArray<readonly [nodeDeg: number, firstDeg: number, numbers: readonly number[]]> = [
  [42, 6, [22, 19, 20, 32, 41, 33, 42, 21]],
  [162, 21, [37, 23, 25, 24, 26, 45, 36, 46]],
  [282, 36, [34, 43, 35, 29, 30, 27, 28, 44]],
];
const SLOT_DEG = 45;

/**
 * Inclined geosynchronous satellites: number, argument of latitude on {@link REFERENCE_DAY}, deg (the places of the
 * older ones about the same longitude). That longitude is from memory: BeiDou-3's three share a track about 118 deg E.
 */
const SYNCHRONOUS: ReadonlyArray<readonly [number: number, latitudeArgumentDeg: number]> = [
  [38, 30],
  [39, 150],
  [40, 270],
];
const SYNCHRONOUS_LONGITUDE_DEG = 118;
const SYNCHRONOUS_SHAPE = {
  system: 'beidou',
  semiMajorM: GEOSTATIONARY_M,
  inclinationDeg: INCLINATION_DEG,
  eccentricity: 0,
  perigeeDeg: 0,
} as const;

/**
 * Geostationary satellites: number, east longitude, deg (BeiDou B1I 3.0, 3.1; which number stands where: from memory).
 */
const GEOSTATIONARY: ReadonlyArray<readonly [number: number, longitudeDeg: number]> = [
  [59, 140],
  [60, 80],
  [61, 110.5],
];

/** BeiDou-3: 24 satellites in medium orbits, three inclined geosynchronous and three geostationary ones. */
export function beidouSatellites(context: ReferenceContext): Satellite[] {
  const medium = MEO_PLANES.flatMap(([nodeDeg, firstDeg, numbers]) =>
    numbers.map((number, slot) => mediumOrbit(number, nodeDeg, firstDeg + slot * SLOT_DEG)),
  );
  return [
    ...medium,
    ...SYNCHRONOUS.map(([number, at]) => synchronous(SYNCHRONOUS_SHAPE, number, SYNCHRONOUS_LONGITUDE_DEG, at)),
    ...GEOSTATIONARY.map(([number, longitudeDeg]) => geostationary('beidou', number, longitudeDeg)),
  ].map((elements) => keplerSatellite(elements, context));
}

function mediumOrbit(number: number, nodeLongitudeDeg: number, latitudeArgumentDeg: number): ReferenceElements {
  return {
    system: 'beidou',
    number,
    orbitClass: 'meo',
    epoch: REFERENCE_DAY,
    semiMajorM: MEO_SEMI_MAJOR_M,
    eccentricity: 0,
    inclinationDeg: INCLINATION_DEG,
    nodeLongitudeDeg,
    perigeeDeg: 0,
    meanAnomalyDeg: latitudeArgumentDeg,
    ...MEO_RATES,
  };
}
