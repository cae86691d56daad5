import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

/** Strings of 2 s (1.7 s of bits, then the time mark), 15 to a frame, 5 frames (GLONASS ICD 5.1, 4.3). */
const STRING_S = 2;
const STRINGS_PER_FRAME = 15;
const FRAMES = 5;
const SATELLITES = 24;

function string(place: number): MessageUnit {
  const number = (place % STRINGS_PER_FRAME) + 1;
  const frame = Math.floor(place / STRINGS_PER_FRAME);
  if (number <= 4) {
    const ephemeris = part(number);
    // Time of the day in string 1, day of the four years in string 4 (ICD 5.1, table 4.6).
    if (number === 1) return { timeOfWeek: true, ephemeris };
    return number === 4 ? { ephemeris, date: 1 } : { ephemeris };
  }
  // Which four years it is, and the rest to UTC. GLONASS time is UTC + 3 h: beside GPS time it tells GPS - UTC.
  if (number === 5) return { date: 2, leapSeconds: true };
  // Two strings a satellite, five satellites a frame, four in the last (ICD 5.1, 4.3.2).
  const satellite = frame * 5 + Math.floor((number - 6) / 2) + 1;
  if (satellite > SATELLITES) return {};
  const id = satelliteId('glonass', satellite);
  return number % 2 === 0 ? { almanacBegin: id } : { almanacEnd: id };
}

/** GLONASS message of the civil signal on G1. */
export const GLONASS_STRINGS: MessagePlan = messagePlan({
  title: 'GLONASS strings',
  unitS: STRING_S,
  // The 3 h from UTC are a multiple of the superframe's 150 s.
  shiftS: 0,
  followsUtc: true,
  cycle: sequence(STRINGS_PER_FRAME * FRAMES, string),
  // A new reference time tb every 30 minutes, in whose middle it lies (ICD 5.1, table 4.6 and 4.4: P1, tb).
  dataSetS: 1800,
  ephemerisLifeS: 1800,
  // 50 bit/s at 10 dB a bit.
  decodeDbHz: 27,
});
