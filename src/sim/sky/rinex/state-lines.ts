import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from '../../../base/constants.js';
import { addSeconds, type GpsTime, gpsFromUtc, secondsBetween } from '../../../base/time.js';
import type { StateRecord } from '../broadcast-record.js';
import type { NavigationHeader } from './header.js';
import type { RecordLines } from './lines.js';

const M_PER_KM = 1000;
/** Where positions, speeds and accelerations of a satellite lie that stays in orbit: m, m/s, m/s2. */
const RADIUS_M = [20e6, 50e6] as const;
const FASTEST_MPS = 10_000;
const GREATEST_MPS2 = 0.01;
/** SBAS: the geostationary satellite is not to be ranged on (bit 0), or its accuracy is unknown (bit 5). */
const SBAS_UNHEALTHY_BITS = 0b100001;

/**
 * A record of a state, GLONASS or SBAS (RINEX 2.11, tables A11, A16; RINEX 3.05, tables A10, A16): position, velocity
 * and acceleration of each axis in a line. The epoch of GLONASS is in UTC, that of SBAS in GPS time.
 * @returns null where a value is missing, or such that no satellite can be on the orbit
 */
export function readState(lines: RecordLines, header: NavigationHeader): StateRecord | null {
  const isGlonass = lines.letter === 'R';
  const value = (index: number) => lines.number(index);
  const epoch = lines.epoch();
  const toe = isGlonass ? gpsFromUtc(epoch) : lines.atomicEpoch();
  const axes = (first: number) =>
    [value(first) * M_PER_KM, value(first + 4) * M_PER_KM, value(first + 8) * M_PER_KM] as const;
  const healthBits = value(6);
  const record: StateRecord = {
    kind: 'state',
    id: lines.id,
    system: isGlonass ? 'glonass' : 'sbas',
    isHealthy: isGlonass ? healthBits === 0 : (healthBits & SBAS_UNHEALTHY_BITS) === 0,
    sentAt: isGlonass ? glonassSentAt(value(2), toe, epoch) : sbasSentAt(lines.numberOrNaN(2), toe, header.version),
    toe,
    clockBiasS: value(0),
    clockDrift: value(1),
    positionM: axes(3),
    velocityMps: axes(4),
    accelerationMps2: axes(5),
    healthBits,
    frequencyNumber: isGlonass ? value(10) : 0,
    accuracyM: isGlonass ? 0 : value(10),
    age: value(14),
  };
  return isPlausible(record) ? record : null;
}

/**
 * The frame's time, of which RINEX 2 gives seconds of the day and RINEX 3 of the week, both of UTC: nearest to the
 * reference time.
 */
function glonassSentAt(frameS: number, toe: GpsTime, epoch: { hour: number; minute: number; second: number }): GpsTime {
  const ofDayS = epoch.hour * 3600 + epoch.minute * 60 + epoch.second;
  const offS = frameS - ofDayS;
  return addSeconds(toe, offS - SECONDS_PER_DAY * Math.round(offS / SECONDS_PER_DAY));
}

/** Of the GPS week; a file of RINEX 2 may give it by the day. */
function sbasSentAt(sowS: number, toe: GpsTime, version: number): GpsTime {
  if (!(Math.abs(sowS) <= 2 * SECONDS_PER_WEEK)) return toe;
  const offS = sowS - toe.towS;
  const periodS = version < 3 ? SECONDS_PER_DAY : SECONDS_PER_WEEK;
  const sentAt = addSeconds(toe, offS - periodS * Math.round(offS / periodS));
  return Math.abs(secondsBetween(sentAt, toe)) < SECONDS_PER_DAY ? sentAt : toe;
}

function isPlausible({ positionM, velocityMps, accelerationMps2, ...record }: StateRecord): boolean {
  const radiusM = Math.hypot(...positionM);
  const { frequencyNumber } = record;
  return (
    radiusM > RADIUS_M[0] &&
    radiusM < RADIUS_M[1] &&
    Math.hypot(...velocityMps) < FASTEST_MPS &&
    Math.hypot(...accelerationMps2) < GREATEST_MPS2 &&
    Math.abs(record.clockBiasS) < 1 &&
    Math.abs(record.clockDrift) < 1e-6 &&
    Number.isInteger(frequencyNumber) &&
    frequencyNumber >= -7 &&
    frequencyNumber <= 13
  );
}
