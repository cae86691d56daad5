import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

/**
 * A page (even and odd half) takes 2 s, a sub-frame 15 pages, the message 24 sub-frames (Galileo OS SIS ICD 2.1,
 * 4.3.3).
 */
const PAGE_S = 2;
const SUB_FRAMES = 24;

/**
 * Word types of a sub-frame on E1-B in turn (OS SIS ICD 2.1, 4.3.3, sub-frame layout; from memory). 7 stands for 7 or
 * 9, 8 for 8 or 10: sub-frames alternate. The words of the error correction over pages (17 to 20) and of the reduced
 * ephemeris (16) are sent, but this receiver does not use them.
 */
const WORDS = [2, 4, 6, 7, 8, 17, 19, 16, 0, 22, 1, 3, 5, 0, 16];

/**
 * Words 7 to 10 bear three satellites' almanacs, so that 12 times them bear 36 (OS SIS ICD 2.1, table of word 7 and
 * on).
 */
const SATELLITES_PER_ROUND = 3;

/** @param first the first satellite of the present three */
function almanacWord(word: number, first: number): MessageUnit {
  const id = (offset: number) => satelliteId('galileo', first + offset);
  if (word === 7) return { almanacBegin: id(0) };
  if (word === 8) return { almanacEnd: id(0), almanacBegin: id(1) };
  if (word === 9) return { almanacEnd: id(1), almanacBegin: id(2) };
  return { almanacEnd: id(2) };
}

function page(place: number): MessageUnit {
  const subFrame = Math.floor(place / WORDS.length);
  const word = WORDS[place % WORDS.length] as number;
  if (word >= 1 && word <= 4) return { ephemeris: part(word) };
  // Word 5: week, time of week, health, group delays, ionosphere; word 0: week and time of week.
  if (word === 5) return { timeOfWeek: true, date: 1 };
  if (word === 0) return { timeOfWeek: true, date: 1 };
  if (word === 6) return { timeOfWeek: true, leapSeconds: true };
  if (word !== 7 && word !== 8) return {};
  const round = Math.floor(subFrame / 2);
  return almanacWord(subFrame % 2 === 0 ? word : word + 2, round * SATELLITES_PER_ROUND + 1);
}

/** Galileo I/NAV on E1-B. */
export const GALILEO_INAV: MessagePlan = messagePlan({
  title: 'Galileo I/NAV',
  unitS: PAGE_S,
  // Galileo's time is GPS's in whole seconds; on E1-B pages begin at odd ones (same layout, from memory).
  shiftS: 1,
  cycle: sequence(WORDS.length * SUB_FRAMES, page),
  // Renewed every 10 minutes, valid for 4 h (Galileo OS Service Definition Document 1.3; from memory).
  dataSetS: 600,
  ephemerisLifeS: 4 * 3600,
  // 125 bit/s at 5 dB a bit thanks to the convolutional code, and half of the power is in the pilot.
  decodeDbHz: 29,
});
