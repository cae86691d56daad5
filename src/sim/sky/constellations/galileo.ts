import { RAD_PER_DEG, SECONDS_PER_DAY } from '../../../base/constants.js';
import { gpsFromUtc } from '../../../base/time.js';
import type { Satellite } from '../orbit.js';
import { keplerSatellite } from './kepler-satellite.js';
import type { ReferenceContext } from './reference-context.js';

/**
 * The Galileo reference constellation, Walker 24/3/1: by plane, right ascension of the ascending node (deg), argument
 * of latitude of the first slot (deg) at the epoch, and the satellite numbers of its eight slots, 45 deg apart.
 * Source: European GNSS Service Centre, orbital and technical parameters. The numbers are those of the satellites that
 * stood in the slots on 2020-06-25 by their broadcast messages; E34 and E10 fill two slots that were empty then (our
 * own choice).
 */
const PLANES: ReadonlyArray<readonly [nodeDeg: number, firstDeg: number, numbers: readonly number[]]> = [
  [317.632, 0.153 + 180, [31, 1, 21, 27, 30, 2, 25, 24]],
  [77.632, 15.153 + 180, [13, 15, 34, 36, 11, 12, 33, 26]],
  [197.632, 30.153 + 180, [5, 9, 4, 19, 10, 7, 8, 3]],
];
const SLOT_DEG = 45;

/** Same source. */
const EPOCH = gpsFromUtc({ year: 2016, month: 11, day: 21, hour: 0, minute: 0, second: 0 });
const SEMI_MAJOR_M = 29_599_800;
const INCLINATION_DEG = 56;
const NODE_RATE_RADPS = (-0.02764398 * RAD_PER_DEG) / SECONDS_PER_DAY;
const MEAN_MOTION_RADPS = (613.72253566 * RAD_PER_DEG) / SECONDS_PER_DAY;

/** Greenwich mean sidereal time of the epoch, by the IAU's expression of 1982, deg. */
const GREENWICH_HOUR_ANGLE_DEG = 60.426408;

/** The 24 satellites of the Galileo reference constellation. */
export function galileoSatellites(context: ReferenceContext): Satellite[] {
  return PLANES.flatMap(([nodeDeg, firstDeg, numbers]) =>
    numbers.map((number, slot) =>
      keplerSatellite(
        {
          system: 'galileo',
          number,
          orbitClass: 'meo',
          epoch: EPOCH,
          semiMajorM: SEMI_MAJOR_M,
          eccentricity: 0,
          inclinationDeg: INCLINATION_DEG,
          nodeLongitudeDeg: nodeDeg - GREENWICH_HOUR_ANGLE_DEG,
          nodeRateRadps: NODE_RATE_RADPS,
          perigeeDeg: 0,
          meanAnomalyDeg: firstDeg + slot * SLOT_DEG,
          meanMotionRadps: MEAN_MOTION_RADPS,
        },
        context,
      ),
    ),
  );
}
