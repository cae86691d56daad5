import type { CalendarDate } from '../base/utc-ms.js';

/** A date as a sentence tells it; of two digits of a year, that from 1980 to 2079 which they stand for. */
export type TextDate = CalendarDate;

const ZERO = 0x30;
const POINT = 0x2e;
const PLUS = 0x2b;
const MINUS = 0x2d;
const COLUMN = 10;
/** Up to so many digits a mantissa and a power of ten are exact, and so their quotient is the nearest number. */
const EXACT_DIGITS = 15;
const POWERS = Array.from({ length: EXACT_DIGITS + 1 }, (_, i) => 10 ** i);

/** The whole number that stands in [from, to); -1: these are not digits. */
export function wholeAt(text: string, from: number, to: number): number {
  if (to <= from || to > text.length) return -1;
  let value = 0;
  for (let i = from; i < to; i++) {
    const digit = text.charCodeAt(i) - ZERO;
    if (digit < 0 || digit > 9) return -1;
    value = value * COLUMN + digit;
  }
  return value;
}

/** A number from `from` on, a sign before it or not, digits with or without a point; null: none stands there. */
export function numberFrom(text: string, from = 0): number | null {
  const { length } = text;
  if (length === from) return null;
  const sign = text.charCodeAt(from);
  const hasSign = sign === MINUS || sign === PLUS;
  let mantissa = 0;
  let digits = 0;
  let decimals = -1;
  for (let i = hasSign ? from + 1 : from; i < length; i++) {
    const code = text.charCodeAt(i);
    if (code === POINT && decimals < 0) decimals = 0;
    else if (code < ZERO || code > ZERO + 9) return null;
    else {
      mantissa = mantissa * COLUMN + code - ZERO;
      digits++;
      if (decimals >= 0) decimals++;
    }
  }
  if (digits === 0) return null;
  if (digits > EXACT_DIGITS) return Number(text.slice(from));
  const size = decimals > 0 ? mantissa / (POWERS[decimals] as number) : mantissa;
  return sign === MINUS ? -size : size;
}

/** A whole number without a sign; null: none stands there. */
export function wholeFrom(text: string): number | null {
  const value = wholeAt(text, 0, text.length);
  return value < 0 ? null : value;
}

/**
 * `ddmm.mmmm`, however many digits of degrees, as degrees. Minutes of 60, as rounding gives them, count as such; null:
 * no angle stands there.
 */
export function degreesFrom(text: string): number | null {
  if (text === '') return null;
  const point = text.indexOf('.');
  const end = point < 0 ? text.length : point;
  if (end < 2 || end > 5) return null;
  const degrees = end === 2 ? 0 : wholeAt(text, 0, end - 2);
  if (wholeAt(text, end - 2, end) < 0) return null;
  const minutes = numberFrom(text, end - 2);
  return degrees < 0 || minutes === null || minutes > 60 ? null : degrees + minutes / 60;
}

/** `hhmmss` and decimals, as ms of the day. Seconds of 60 count as such; null: no time stands there. */
export function timeFrom(text: string): number | null {
  if (text.length < 6 || (text.length > 6 && text.charCodeAt(6) !== POINT)) return null;
  const [hour, minute, whole] = [wholeAt(text, 0, 2), wholeAt(text, 2, 4), wholeAt(text, 4, 6)];
  if (hour < 0 || minute < 0 || whole < 0 || hour > 23 || minute > 59) return null;
  const second = text.length === 6 ? whole : numberFrom(text, 4);
  if (second === null || second >= 61) return null;
  return Math.round((hour * 3600 + minute * 60 + second) * 1000);
}

const MONTH_DAYS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** Whether a year has this day. @param month 1 to 12 @param day from 1 */
export function isDay(year: number, month: number, day: number): boolean {
  const most = MONTH_DAYS[month - 1];
  if (most === undefined || day < 1 || day > most) return false;
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return month !== 2 || day < 29 || isLeap;
}

/** The year that two digits stand for, from 1980, when GPS began, to 2079. */
export function yearOf(twoDigits: number): number {
  return twoDigits >= 80 ? 1900 + twoDigits : 2000 + twoDigits;
}

/** `ddmmyy`; null: no date that exists. */
export function dateFrom(text: string): TextDate | null {
  if (text.length !== 6) return null;
  const [day, month, short] = [wholeAt(text, 0, 2), wholeAt(text, 2, 4), wholeAt(text, 4, 6)];
  if (short < 0) return null;
  const year = yearOf(short);
  return isDay(year, month, day) ? { year, month, day } : null;
}

/** Day, month and year in fields of their own; null: no date that exists. */
export function dateOf(dayText: string, monthText: string, yearText: string): TextDate | null {
  if (dayText.length > 2 || monthText.length > 2 || yearText.length !== 4) return null;
  const [day, month, year] = [wholeFrom(dayText), wholeFrom(monthText), wholeFrom(yearText)];
  if (day === null || month === null || year === null) return null;
  return isDay(year, month, day) ? { year, month, day } : null;
}

/** A number without its leading zeros, as text. */
export function withoutZeros(text: string): string {
  let from = 0;
  while (from < text.length - 1 && text.charCodeAt(from) === ZERO) from++;
  return from === 0 ? text : text.slice(from);
}
