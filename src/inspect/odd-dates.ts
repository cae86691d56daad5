import { dayNumberOf } from '../base/time.js';
import { type CalendarDate, DAY_MS, dayOf } from '../base/utc-ms.js';

/** GPS week 1024 began then, when the 10 bits of the week number began anew (IS-GPS-200, week numbers). */
const SECOND_EPOCH_DAY = dayNumberOf(1999, 8, 22);
/** Two digits of a year tell no later one. */
const LAST_YEAR = 2079;
/** So far a week number of 10 bits reaches. */
const ROLLOVER_WEEKS = 1024;
/** A file is written on the day of its last stamp or a day later, and a machine's clock may stand in another zone. */
const SAME_DAYS = 1;

/** Whether a date lies before week 1024: a receiver that tells it has lost count of the weeks. */
export function isOfFirstWeeks(date: CalendarDate): boolean {
  return dayOf(date) < SECOND_EPOCH_DAY;
}

/** Whether a date is one that modules claim while they know none. */
export function isDefaultDate(date: CalendarDate): boolean {
  return isOfFirstWeeks(date) || date.year >= LAST_YEAR;
}

/**
 * How many weeks a date is behind, where that is a multiple of 1024 give or take a day: a week rollover.
 * @param nowMs the true time, or when the file was written, UTC, ms since 1970-01-01
 * @returns null: it is none
 */
export function rolledOverWeeks(date: CalendarDate, nowMs: number): number | null {
  const behindDays = Math.floor(nowMs / DAY_MS) - dayOf(date);
  return rolloverWeeksOf(behindDays);
}

/** So many days as weeks, where those are a multiple of 1024 give or take a day; null: they are not. */
export function rolloverWeeksOf(days: number): number | null {
  const weeks = Math.round(days / 7 / ROLLOVER_WEEKS) * ROLLOVER_WEEKS;
  return weeks >= ROLLOVER_WEEKS && Math.abs(days - weeks * 7) <= SAME_DAYS ? weeks : null;
}
