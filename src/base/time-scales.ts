import { SECONDS_PER_WEEK } from './constants.js';
import type { LeapSeconds } from './leap-seconds.js';
import { addSeconds, dayNumberOf, type GpsTime, utcFromGps } from './time.js';

/** GPST - BDT, s (BeiDou interface control document, B1I 3.0, 3.3: BDT began 2006-01-01 00:00 UTC). */
export const GPS_MINUS_BDT_S = 14;
/** GPS week of BDT week 0, 2006-01-01 (same source). */
export const BDT_FIRST_GPS_WEEK = 1356;
/** GPS week of GST week 0, 1999-08-22 (Galileo OS SIS ICD 2.1, 5.1.2); NavIC's weeks begin there too. */
export const GST_FIRST_GPS_WEEK = 1024;
/** GLONASS time - UTC, h (GLONASS interface control document 5.1, 3.3.3). */
const GLONASS_MINUS_UTC_H = 3;

/** Weeks after which each system's broadcast week number begins anew: 10, 12, 13 and 10 bits. */
export const WEEKS_TO_ROLLOVER = { gps: 1024, galileo: 4096, beidou: 8192, navic: 1024 } as const;

/** Time of BeiDou: its own week and seconds of week. */
export interface BdtTime {
  readonly bdtWeek: number;
  readonly sowS: number;
}

/** GPS time as BeiDou counts it. */
export function bdtFromGps(time: GpsTime): BdtTime {
  const { week, towS } = addSeconds(time, -GPS_MINUS_BDT_S);
  return { bdtWeek: week - BDT_FIRST_GPS_WEEK, sowS: towS };
}

/** The first day of GLONASS's four-year interval 1 (GLONASS ICD 5.1, 4.4: N4 counts from 1996). */
const GLONASS_FIRST_DAY = dayNumberOf(1996, 1, 1);
/** Days of four years, one of them a leap year: until 2099. */
export const DAYS_OF_FOUR_YEARS = 1461;

/** Number of GLONASS's four-year interval at a time: 1 from 1996 on, by the calendar of UTC + 3 h. */
export function glonassInterval(time: GpsTime, leap: LeapSeconds): number {
  const { year, month, day, hour } = utcFromGps(time, leap);
  const later = hour >= 24 - GLONASS_MINUS_UTC_H ? 1 : 0;
  return Math.floor((dayNumberOf(year, month, day) + later - GLONASS_FIRST_DAY) / DAYS_OF_FOUR_YEARS) + 1;
}

/**
 * A week number in full, of which a message carries only the rest by `modulus`: the first week from `notBefore` on
 * that has this rest. That is how firmware resolves it, with the week of its making as `notBefore`.
 */
export function resolveWeek(rest: number, modulus: number, notBefore: number): number {
  const ahead = (((rest - notBefore) % modulus) + modulus) % modulus;
  return notBefore + ahead;
}

/** Seconds since the GPS epoch: for arithmetic over many weeks, exact to a nanosecond and better. */
export function gpsSeconds({ week, towS }: GpsTime): number {
  return week * SECONDS_PER_WEEK + towS;
}
