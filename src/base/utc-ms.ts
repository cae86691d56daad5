import { SECONDS_PER_DAY } from './constants.js';
import { dateOfDay, dayNumberOf, type Utc } from './time.js';

/** Length of a day without a leap second, ms. */
export const DAY_MS = SECONDS_PER_DAY * 1000;

/** A day of the Gregorian calendar: month 1 to 12, day from 1. */
export interface CalendarDate {
  readonly year: number;
  readonly month: number;
  readonly day: number;
}

/** Days since 1970-01-01 of a date. */
export function dayOf({ year, month, day }: CalendarDate): number {
  return dayNumberOf(year, month, day);
}

/** `2026-03-01` */
export function dateLabel({ year, month, day }: CalendarDate): string {
  return `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/** The day of a time as text: `2026-03-01`. @param utcMs ms since 1970-01-01 */
export function dateLabelOfMs(utcMs: number): string {
  return dateLabel(dateOfDay(Math.floor(utcMs / DAY_MS)));
}

/** UTC of a date and a time of that day, ms since 1970-01-01. @param timeOfDayMs second 60 runs on into the next day */
export function utcMsAt(date: CalendarDate, timeOfDayMs: number): number {
  return dayOf(date) * DAY_MS + timeOfDayMs;
}

/**
 * UTC as ms since 1970-01-01, rounded to whole ms; any second 60 is the first one of the next minute, whether a leap
 * second was inserted there or not.
 */
export function utcMsOf(utc: Utc): number {
  return utcMsAt(utc, (utc.hour * 3600 + utc.minute * 60) * 1000 + Math.round(utc.second * 1000));
}

/** The inverse of {@link utcMsOf}, but that a second 60 does not come back. @param utcMs ms since 1970-01-01 */
export function utcOfMs(utcMs: number): Utc {
  const day = Math.floor(utcMs / DAY_MS);
  const ofDayMs = utcMs - day * DAY_MS;
  const hour = Math.floor(ofDayMs / 3_600_000);
  const minute = Math.floor(ofDayMs / 60_000) % 60;
  return { ...dateOfDay(day), hour, minute, second: (ofDayMs % 60_000) / 1000 };
}

const UTC = /^(\d{4,6})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d(?:\.\d+)?)Z$/;

/**
 * A time as the journal writes it, as {@link utcMsOf} has it: `2026-03-01T12:00:20.000Z`.
 * @throws RangeError for what is no such time
 */
export function utcMsFrom(text: string): number {
  const match = UTC.exec(text);
  if (match === null) throw new RangeError(`not a time of a journal: ${text}`);
  const [year, month, day, hour, minute, second] = match.slice(1).map(Number) as [
    ...[number, number, number],
    ...[number, number, number],
  ];
  return utcMsOf({ year, month, day, hour, minute, second });
}
