import { GPS_MINUS_BDT_S } from '../../../base/time-scales.js';
import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

const SUBFRAMES_PER_FRAME = 5;

/** Every hour (BeiDou ICD B1I 3.0, 5.2.4.9: toe; from memory). */
const DATA_SET_S = 3600;
/** Common practice: as GPS's. */
const EPHEMERIS_LIFE_S = 4 * 3600;

/** D1: 24 pages of subframes 4 and 5, in 12 minutes (B1I 3.0, 5.2.2). */
const D1_PAGES = 24;
/**
 * Pages 11 to 23 of subframe 5 bear satellites 31 to 63 by turns, in three rounds of the 24 pages (5.2.4.15; from
 * memory).
 */
const ROUNDS = 3;
const PAGES_OF_A_ROUND = 13;
const LAST_SATELLITE = 63;

/** @param page from 1, of pages that bear the almanacs from 31 on, 13 to a round */
function later(round: number, page: number): string | null {
  const number = 31 + round * PAGES_OF_A_ROUND + page - 1;
  return number <= LAST_SATELLITE ? satelliteId('beidou', number) : null;
}

function d1Almanac(subframe: number, page: number, round: number): string | null {
  if (subframe === 4) return satelliteId('beidou', page);
  if (page <= 6) return satelliteId('beidou', 24 + page);
  return page >= 11 && page <= 23 ? later(round, page - 10) : null;
}

function d1Subframe(place: number): MessageUnit {
  const subframe = (place % SUBFRAMES_PER_FRAME) + 1;
  const frame = Math.floor(place / SUBFRAMES_PER_FRAME);
  // Seconds of week in every one; week, health, clock and ionosphere in the first (figures 5-9 to 5-11).
  if (subframe === 1) return { timeOfWeek: true, date: 1, ephemeris: part(1) };
  if (subframe <= 3) return { timeOfWeek: true, ephemeris: part(subframe) };
  const page = (frame % D1_PAGES) + 1;
  if (subframe === 5 && page === 10) return { timeOfWeek: true, leapSeconds: true };
  const id = d1Almanac(subframe, page, Math.floor(frame / D1_PAGES));
  return id === null ? { timeOfWeek: true } : { timeOfWeek: true, almanac: [id] };
}

/** BeiDou D1 on B1I: satellites on medium and inclined orbits, 50 bit/s. */
export const BEIDOU_D1: MessagePlan = messagePlan({
  title: 'BeiDou D1',
  unitS: 6,
  shiftS: GPS_MINUS_BDT_S,
  cycle: sequence(SUBFRAMES_PER_FRAME * D1_PAGES * ROUNDS, d1Subframe),
  dataSetS: DATA_SET_S,
  ephemerisLifeS: EPHEMERIS_LIFE_S,
  // 50 bit/s at 10 dB a bit.
  decodeDbHz: 27,
});

/** D2: ten pages of subframe 1, 120 of subframe 5, in 6 minutes (B1I 3.0, 5.3.1). */
const D2_BASIC_PAGES = 10;
const D2_PAGES = 120;

function d2Almanac(page: number, round: number): string | null {
  if (page >= 37 && page <= 60) return satelliteId('beidou', page - 36);
  if (page >= 95 && page <= 100) return satelliteId('beidou', 24 + page - 94);
  return page >= 103 && page <= 115 ? later(round, page - 102) : null;
}

function d2Subframe(place: number): MessageUnit {
  const subframe = (place % SUBFRAMES_PER_FRAME) + 1;
  const frame = Math.floor(place / SUBFRAMES_PER_FRAME);
  if (subframe === 1) {
    const page = (frame % D2_BASIC_PAGES) + 1;
    const ephemeris = part(page);
    return page === 1 ? { timeOfWeek: true, date: 1, ephemeris } : { timeOfWeek: true, ephemeris };
  }
  // Subframes 2 to 4 bear integrity and differences, which this receiver does not use.
  if (subframe <= 4) return { timeOfWeek: true };
  const page = (frame % D2_PAGES) + 1;
  if (page === 102) return { timeOfWeek: true, leapSeconds: true };
  const id = d2Almanac(page, Math.floor(frame / D2_PAGES));
  return id === null ? { timeOfWeek: true } : { timeOfWeek: true, almanac: [id] };
}

/** BeiDou D2 on B1I: geostationary satellites, 500 bit/s. */
export const BEIDOU_D2: MessagePlan = messagePlan({
  title: 'BeiDou D2',
  unitS: 0.6,
  shiftS: GPS_MINUS_BDT_S,
  cycle: sequence(SUBFRAMES_PER_FRAME * D2_PAGES * ROUNDS, d2Subframe),
  dataSetS: DATA_SET_S,
  ephemerisLifeS: EPHEMERIS_LIFE_S,
  // 500 bit/s at 10 dB a bit, less 2 dB that the BCH code gains.
  decodeDbHz: 35,
});
