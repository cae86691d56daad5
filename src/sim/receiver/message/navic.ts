import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

/** Subframes of 600 symbols at 50 a second, four to a frame (IRNSS SIS ICD for SPS 1.1, 5.9 and 6.1; from memory). */
const SUBFRAME_S = 12;
const SUBFRAMES_PER_FRAME = 4;
/**
 * Satellites that the almanac names. Which messages subframes 3 and 4 bear in which order is not fixed: here
 * subframe 3 bears the almanacs (type 7) in turn, subframe 4 by turns UTC (type 9) and the ionosphere (type 11).
 */
const SATELLITES = 14;

function subframe(place: number): MessageUnit {
  const number = (place % SUBFRAMES_PER_FRAME) + 1;
  const frame = Math.floor(place / SUBFRAMES_PER_FRAME);
  if (number === 1) return { timeOfWeek: true, date: 1, ephemeris: part(1) };
  if (number === 2) return { timeOfWeek: true, ephemeris: part(2) };
  if (number === 3) return { timeOfWeek: true, almanac: [satelliteId('navic', frame + 1)] };
  return frame % 2 === 0 ? { timeOfWeek: true, leapSeconds: true } : { timeOfWeek: true };
}

/** NavIC's message of the standard service on L5. */
export const NAVIC_SPS: MessagePlan = messagePlan({
  title: 'NavIC SPS',
  unitS: SUBFRAME_S,
  shiftS: 0,
  cycle: sequence(SUBFRAMES_PER_FRAME * SATELLITES, subframe),
  // Renewed every 2 h, and used twice as long: as GPS's, from memory.
  dataSetS: 7200,
  ephemerisLifeS: 4 * 3600,
  // 25 bit/s at 5 dB a bit would be 19 dB-Hz; the carrier loop slips before: common practice.
  decodeDbHz: 24,
});
