import { EARTH_ROTATION_RADPS, GPS_SEMI_MAJOR_M, RAD_PER_DEG } from '../../../base/constants.js';
import { gpsFromUtc } from '../../../base/time.js';
import type { Satellite } from '../orbit.js';
import { keplerSatellite } from './kepler-satellite.js';
import type { ReferenceContext } from './reference-context.js';

/**
 * The GPS baseline constellation: slot, right ascension of the ascending node (deg), argument of latitude (deg) at the
 * epoch, and a satellite number.
 * Source: GPS SPS Performance Standard (4th edition, 2008), table 3.2-1. The numbers are our own: slots keep their
 * place while satellites come and go, and no number belongs to a slot.
 */
const SLOTS: ReadonlyArray<readonly [slot: string, nodeDeg: number, latitudeArgumentDeg: number, prn: number]> = [
  ['A1', 272.847, 268.126, 9],
  ['A2', 272.847, 161.786, 31],
  ['A3', 272.847, 11.676, 8],
  ['A4', 272.847, 41.806, 7],
  ['B1', 332.847, 80.956, 16],
  ['B2', 332.847, 173.336, 25],
  ['B3', 332.847, 309.976, 28],
  ['B4', 332.847, 204.376, 12],
  ['C1', 32.847, 111.876, 29],
  ['C2', 32.847, 11.796, 27],
  ['C3', 32.847, 339.666, 19],
  ['C4', 32.847, 241.556, 17],
  ['D1', 92.847, 135.226, 2],
  ['D2', 92.847, 265.446, 1],
  ['D3', 92.847, 35.156, 21],
  ['D4', 92.847, 167.356, 6],
  ['E1', 152.847, 197.046, 3],
  ['E2', 152.847, 302.596, 10],
  ['E3', 152.847, 66.066, 5],
  ['E4', 152.847, 333.686, 20],
  ['F1', 212.847, 238.886, 32],
  ['F2', 212.847, 345.226, 15],
  ['F3', 212.847, 105.206, 14],
  ['F4', 212.847, 135.346, 23],
];

/** Same source, notes to the table. */
const EPOCH = gpsFromUtc({ year: 1993, month: 7, day: 1, hour: 0, minute: 0, second: 0 });
const GREENWICH_HOUR_ANGLE_DEG = (18 + 36 / 60 + 14.4 / 3600) * 15;
const INCLINATION_DEG = 55;
/** GPS SPS Performance Standard (2001), table A2-1. */
const NODE_RATE_RADPS = -4.4874e-7 * RAD_PER_DEG;

/**
 * Rate of the argument of latitude, rad/s: two revolutions for each of the node's turns of the Earth, so that ground
 * tracks repeat, which is what the slots' station keeping holds to (within 4e-6 of the two-body rate for the nominal
 * semi-major axis). It makes the table valid at any date.
 */
const LATITUDE_ARGUMENT_RATE_RADPS = 2 * (EARTH_ROTATION_RADPS - NODE_RATE_RADPS);

/** The 24 satellites of the GPS baseline constellation. */
export function gpsSatellites(context: ReferenceContext): Satellite[] {
  return SLOTS.map(([, nodeDeg, latitudeArgumentDeg, number]) =>
    keplerSatellite(
      {
        system: 'gps',
        number,
        orbitClass: 'meo',
        epoch: EPOCH,
        semiMajorM: GPS_SEMI_MAJOR_M,
        eccentricity: 0,
        inclinationDeg: INCLINATION_DEG,
        nodeLongitudeDeg: nodeDeg - GREENWICH_HOUR_ANGLE_DEG,
        nodeRateRadps: NODE_RATE_RADPS,
        perigeeDeg: 0,
        meanAnomalyDeg: latitudeArgumentDeg,
        meanMotionRadps: LATITUDE_ARGUMENT_RATE_RADPS,
      },
      context,
    ),
  );
}
