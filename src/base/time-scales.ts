import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from './constants.js';
import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from './leap-seconds.js';
import { addSeconds, dateOfDay, dayNumberOf, type GpsTime, gpsFromUtc, utcFromGps } from './time.js';

/** GPST - BDT, s (BeiDou interface control document, B1I 3.0, 3.3: BDT began 2006-01-01 00:00 UTC). */
export const GPS_MINUS_BDT_S = 14;
/** GPS week of BDT week 0, 2006-01-01 (same source). */
export const BDT_FIRST_GPS_WEEK = 1356;
/** GPS week of GST week 0, 1999-08-22 (Galileo OS SIS ICD 2.1, 5.1.2); NavIC's weeks begin there too. */
export const GST_FIRST_GPS_WEEK = 1024;
/** GLONASS time - UTC, s (GLONASS interface control document 5.1, 3.3.3). */
export const GLONASS_MINUS_UTC_S = 3 * 3600;

/** Weeks after which each system's broadcast week number begins anew: 10, 12, 13 and 10 bits. */
export const WEEKS_TO_ROLLOVER = { gps: 1024, galileo: 4096, beidou: 8192, navic: 1024 } as const;

/** Time of BeiDou: its own week and seconds of week. */
export interface BdtTime {
  readonly bdtWeek: number;
  readonly sowS: number;
}

/** Time of GLONASS: four-year interval from 1996 (1), day in it (1 to 1461), seconds of the day of UTC + 3 h. */
export interface GlonassTime {
  readonly n4: number;
  readonly nt: number;
  /** A leap second is counted in the day that it ends. */
  readonly secondOfDayS: number;
}

export function bdtFromGps(time: GpsTime): BdtTime {
  const { week, towS } = addSeconds(time, -GPS_MINUS_BDT_S);
  return { bdtWeek: week - BDT_FIRST_GPS_WEEK, sowS: towS };
}

/** The first day of GLONASS's four-year interval 1 (GLONASS ICD 5.1, 4.4: N4 counts from 1996). */
const GLONASS_FIRST_DAY = dayNumberOf(1996, 1, 1);
const DAYS_OF_FOUR_YEARS = 1461;

export function glonassFromGps(time: GpsTime, leap: LeapSeconds = PUBLISHED_LEAP_SECONDS): GlonassTime {
  const utc = utcFromGps(time, leap);
  const dayOfUtc = dayNumberOf(utc.year, utc.month, utc.day);
  const second = utc.hour * 3600 + utc.minute * 60 + utc.second + GLONASS_MINUS_UTC_S;
  // UTC's day of 86,401 s ends at 03:00 of GLONASS time, in the middle of its day.
  const later = second >= SECONDS_PER_DAY ? 1 : 0;
  const day = dayOfUtc + later - GLONASS_FIRST_DAY;
  const interval = Math.floor(day / DAYS_OF_FOUR_YEARS);
  return {
    n4: interval + 1,
    nt: day - interval * DAYS_OF_FOUR_YEARS + 1,
    secondOfDayS: second - later * SECONDS_PER_DAY,
  };
}

export function gpsFromGlonass(
  { n4, nt, secondOfDayS }: GlonassTime,
  leap: LeapSeconds = PUBLISHED_LEAP_SECONDS,
): GpsTime {
  const day = GLONASS_FIRST_DAY + (n4 - 1) * DAYS_OF_FOUR_YEARS + nt - 1;
  const secondOfUtc = secondOfDayS - GLONASS_MINUS_UTC_S;
  const dayOfUtc = secondOfUtc < 0 ? day - 1 : day;
  const midnight = gpsFromUtc({ ...dateOfDay(dayOfUtc), hour: 0, minute: 0, second: 0 }, leap);
  return addSeconds(midnight, secondOfUtc < 0 ? secondOfUtc + SECONDS_PER_DAY : secondOfUtc);
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
