import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from './constants.js';
import { LodestubError } from './error.js';
import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from './leap-seconds.js';

/** GPS time: `week` counted without rollover since 1980-01-06, `towS` in [0, 604800) s. */
export interface GpsTime {
  readonly week: number;
  readonly towS: number;
}

/** UTC as calendar fields; `second` in [0, 61), 60 and above only within a leap second. */
export interface Utc {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  readonly hour: number;
  readonly minute: number;
  readonly second: number;
}

/** 1980-01-06 as days since 1970-01-01 (IS-GPS-200, 3.3.4: start of GPS time). */
export const GPS_EPOCH_DAY = 3657;

/** Days since 1970-01-01 of a date of the Gregorian calendar. Method: H. Hinnant, chrono-compatible date algorithms. */
export function dayNumberOf(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146097 + dayOfEra - 719468;
}

/** The inverse of {@link dayNumberOf}. */
export function dateOfDay(dayNumber: number): { year: number; month: number; day: number } {
  const z = dayNumber + 719468;
  const era = Math.floor(z / 146097);
  const dayOfEra = z - era * 146097;
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) / 365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const mp = Math.floor((5 * dayOfYear + 2) / 153);
  const month = mp < 10 ? mp + 3 : mp - 9;
  return {
    year: yearOfEra + era * 400 + (month <= 2 ? 1 : 0),
    month,
    day: dayOfYear - Math.floor((153 * mp + 2) / 5) + 1,
  };
}

/** GPS time `deltaS` seconds later. */
export function addSeconds(time: GpsTime, deltaS: number): GpsTime {
  const total = time.towS + deltaS;
  const weeks = Math.floor(total / SECONDS_PER_WEEK);
  return { week: time.week + weeks, towS: total - weeks * SECONDS_PER_WEEK };
}

/** `a - b`, s. */
export function secondsBetween(a: GpsTime, b: GpsTime): number {
  return (a.week - b.week) * SECONDS_PER_WEEK + (a.towS - b.towS);
}

/** UTC to GPS time. */
export function gpsFromUtc(utc: Utc, leap: LeapSeconds = PUBLISHED_LEAP_SECONDS): GpsTime {
  const dayNumber = dayNumberOf(utc.year, utc.month, utc.day);
  const dayOfGps = dayNumber - GPS_EPOCH_DAY;
  const week = Math.floor(dayOfGps / 7);
  const towS = (dayOfGps - week * 7) * SECONDS_PER_DAY + utc.hour * 3600 + utc.minute * 60 + utc.second;
  return addSeconds({ week, towS }, leap.gpsMinusUtcOnDayS(dayNumber));
}

/**
 * GPS time to UTC. Within a leap second `second` runs from 60 to 61.
 * @param leap a table, or a fixed GPS - UTC, s: what a receiver assumes that has not yet been told
 */
export function utcFromGps(time: GpsTime, leap: LeapSeconds | number = PUBLISHED_LEAP_SECONDS): Utc {
  const day = GPS_EPOCH_DAY + time.week * 7 + Math.floor(time.towS / SECONDS_PER_DAY);
  const secondOfDay = time.towS % SECONDS_PER_DAY;
  if (typeof leap === 'number') return calendar(day, secondOfDay - leap);
  // The offset is at most one day's length of seconds off by one: try today's, then yesterday's.
  const offset = leap.gpsMinusUtcOnDayS(day);
  const rest = secondOfDay - offset;
  if (rest >= 0) return calendar(day, rest);
  const before = leap.gpsMinusUtcOnDayS(day - 1);
  const restOfBefore = secondOfDay - before;
  if (restOfBefore >= 0) {
    // Between the two offsets: the leap second itself, at the end of the day before.
    return { ...dateOfDay(day - 1), hour: 23, minute: 59, second: 60 + restOfBefore };
  }
  return calendar(day, restOfBefore);
}

/** The day looked up last: a run asks for the same one thousands of times. */
let lastDay = Number.NaN;
let lastDate = { year: 0, month: 0, day: 0 };

function calendar(day: number, secondOfDay: number): Utc {
  const shift = Math.floor(secondOfDay / SECONDS_PER_DAY);
  if (day + shift !== lastDay) {
    lastDay = day + shift;
    lastDate = dateOfDay(lastDay);
  }
  const rest = secondOfDay - shift * SECONDS_PER_DAY;
  const hour = Math.floor(rest / 3600);
  const minute = Math.floor((rest - hour * 3600) / 60);
  const { year, month, day: dayOfMonth } = lastDate;
  return { year, month, day: dayOfMonth, hour, minute, second: rest - hour * 3600 - minute * 60 };
}

const ISO = /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2})(?::(\d{2}(?:\.\d{1,9})?))?\s*Z$/;

/**
 * Reads `2022-02-18T09:30:00Z`; second 60 only where a leap second was inserted.
 * @throws LodestubError `time.format` or `time.calendar`
 */
export function parseUtc(text: string): Utc {
  const match = ISO.exec(text.trim());
  if (!match) {
    throw new LodestubError({
      code: 'time.format',
      expected: 'a time in UTC such as 2022-02-18T09:30:00Z',
      received: JSON.stringify(text),
    });
  }
  const [year, month, day, hour, minute] = match.slice(1, 6).map(Number) as [number, number, number, number, number];
  const second = Number(match[6] ?? '0');
  const dayNumber = dayNumberOf(year, month, day);
  const back = dateOfDay(dayNumber);
  const isLeapMinute = hour === 23 && minute === 59 && PUBLISHED_LEAP_SECONDS.endsWithLeapSecond(dayNumber);
  const exists = month >= 1 && month <= 12 && back.month === month && back.day === day && day >= 1;
  if (!exists || hour > 23 || minute > 59 || second >= (isLeapMinute ? 61 : 60)) {
    throw new LodestubError({
      code: 'time.calendar',
      expected: 'a time that exists (second 60 only where a leap second was inserted)',
      received: JSON.stringify(text),
    });
  }
  if (dayNumber < GPS_EPOCH_DAY || year > 2200) {
    throw new LodestubError({
      code: 'time.calendar',
      expected: 'a time from 1980-01-06 (start of GPS time) to 2200',
      received: JSON.stringify(text),
    });
  }
  return { year, month, day, hour, minute, second };
}

/** `2022-02-18T09:30:00.000Z`: milliseconds, rounded half up with carry (not past the end of its minute's last ms). */
export function formatUtc(utc: Utc): string {
  const ms = Math.round(utc.second * 1000);
  const limit = utc.second >= 60 ? 60999 : 59999;
  const whole = Math.min(ms, limit);
  const second = Math.floor(whole / 1000);
  return (
    `${pad(utc.year, 4)}-${pad(utc.month, 2)}-${pad(utc.day, 2)}` +
    `T${pad(utc.hour, 2)}:${pad(utc.minute, 2)}:${pad(second, 2)}.${pad(whole - second * 1000, 3)}Z`
  );
}

function pad(value: number, width: number): string {
  return String(value).padStart(width, '0');
}
