import { isDay, wholeAt, yearOf } from './values.js';
import type { ViolationCode } from './violation.js';

/** The form of a field. */
export interface Form {
  /** What is allowed, as a message says it: `000 to 359`. */
  readonly allowed: string;
  /** What is wrong with a text that is not blank; null: nothing. */
  readonly faultOf: (text: string) => ViolationCode | null;
}

const ZERO = 0x30;
const POINT = 0x2e;
const MINUS = 0x2d;

/** Where the digits from `from` on end. */
function endOfDigits(text: string, from: number): number {
  let at = from;
  for (; at < text.length; at++) {
    const digit = text.charCodeAt(at) - ZERO;
    if (digit < 0 || digit > 9) break;
  }
  return at;
}

/** Whether from `from` on nothing stands, or a point and digits. */
function isFraction(text: string, from: number): boolean {
  if (from === text.length) return true;
  return text.charCodeAt(from) === POINT && from + 1 < text.length && endOfDigits(text, from + 1) === text.length;
}

/** `hhmmss` and decimals. Second 60 stands only where a leap second may: at 23:59. */
export const TIME: Form = {
  allowed: 'hhmmss with or without decimals, 000000 to 235959, or 235960 in a leap second',
  faultOf(text) {
    const [hour, minute, second] = [wholeAt(text, 0, 2), wholeAt(text, 2, 4), wholeAt(text, 4, 6)];
    if (hour < 0 || minute < 0 || second < 0 || !isFraction(text, 6)) return 'field-form';
    if (hour > 23 || minute > 59 || second > 60) return 'field-range';
    return second === 60 && (hour !== 23 || minute !== 59) ? 'sixty-minutes' : null;
  },
};

function angle(degreeDigits: 2 | 3, mostDeg: 90 | 180, allowed: string): Form {
  const digits = degreeDigits + 2;
  return {
    allowed,
    faultOf(text) {
      const end = endOfDigits(text, 0);
      if (end === 0 || end > digits || !isFraction(text, end)) return 'field-form';
      const whole = wholeAt(text, 0, end);
      const minutes = whole % 100;
      const degrees = (whole - minutes) / 100;
      // Sixty whole minutes, nothing after the point: rounded up without carry.
      if (minutes === 60 && !/[1-9]/.test(text.slice(end))) return 'sixty-minutes';
      if (minutes > 59 || degrees > mostDeg) return 'field-range';
      if (degrees === mostDeg && (minutes > 0 || /[1-9]/.test(text.slice(end)))) return 'field-range';
      return end < digits ? 'leading-zeros' : null;
    },
  };
}

/** `ddmm.mmmm`. */
export const LATITUDE = angle(2, 90, 'ddmm.mmmm with leading zeros, up to 9000, minutes below 60');
/** `dddmm.mmmm`. */
export const LONGITUDE = angle(3, 180, 'dddmm.mmmm with leading zeros, up to 18000, minutes below 60');

/**
 * A number with or without decimals.
 * @param least below zero: a minus may stand there
 */
export function number(allowed: string, least: number, most: number): Form {
  return {
    allowed,
    faultOf(text) {
      const from = text.charCodeAt(0) === MINUS ? 1 : 0;
      const end = endOfDigits(text, from);
      if (end === from || !isFraction(text, end)) return 'field-form';
      const value = Number(text);
      return value < least || value > most || (from === 1 && least >= 0) ? 'field-range' : null;
    },
  };
}

/** As many digits, zeros before them. */
export function digits(width: number, least: number, most: number): Form {
  const said = (value: number) => String(value).padStart(width, '0');
  return {
    allowed: `${said(least)} to ${said(most)}`,
    faultOf(text) {
      const value = wholeAt(text, 0, text.length);
      if (value < 0) return 'field-form';
      if (value < least || value > most) return 'field-range';
      if (text.length > width) return 'field-form';
      return text.length < width ? 'leading-zeros' : null;
    },
  };
}

/** One of these letters or words. */
export function oneOf(...words: readonly string[]): Form {
  const known = new Set(words);
  const last = words.at(-1) as string;
  const allowed = words.length === 1 ? last : `${words.slice(0, -1).join(', ')} or ${last}`;
  return { allowed, faultOf: (text) => (known.has(text) ? null : 'field-code') };
}

/** From `least` to `most` letters out of some. */
export function lettersOf(letters: string, least: number, most: number): Form {
  return {
    allowed: `${least} to ${most} letters out of ${letters}`,
    faultOf(text) {
      for (const letter of text) if (!letters.includes(letter)) return 'field-code';
      return text.length < least || text.length > most ? 'field-form' : null;
    },
  };
}

/** Any characters, no more than so many. */
export function text(most: number): Form {
  return { allowed: `at most ${most} characters`, faultOf: (found) => (found.length > most ? 'field-form' : null) };
}

/** Number of a satellite, two digits; modules write three where they begin a system's numbers at 120, 193, 201, 301. */
export const SATELLITE: Form = {
  allowed: '01 to 99',
  faultOf(found) {
    const value = wholeAt(found, 0, found.length);
    if (value < 0 || found.length > 3) return 'field-form';
    if (value === 0) return 'field-range';
    if (found.length === 3) return value > 99 ? 'satellite-number' : 'field-form';
    return found.length < 2 ? 'leading-zeros' : null;
  },
};

/** Degrees, two digits; satellites below the horizon have a minus before them. */
export const ELEVATION: Form = {
  allowed: '00 to 90',
  faultOf(found) {
    const from = found.charCodeAt(0) === MINUS ? 1 : 0;
    const value = wholeAt(found, from, found.length);
    if (value < 0 || found.length - from > 2) return 'field-form';
    if (value > 90) return 'field-range';
    return found.length - from < 2 ? 'leading-zeros' : null;
  },
};

/** dB-Hz, two digits; some modules add decimals. */
export const CN0: Form = {
  allowed: '00 to 99',
  faultOf(found) {
    const end = endOfDigits(found, 0);
    if (end === 0 || !isFraction(found, end)) return 'field-form';
    if (end > 2) return 'field-range';
    if (end < found.length) return 'decimal-cn0';
    return end < 2 ? 'leading-zeros' : null;
  },
};

/** A hexadecimal digit; some modules write 11 for B. */
export const SIGNAL_ID: Form = {
  allowed: 'a hexadecimal digit, 0 to F',
  faultOf(found) {
    if (found.length === 1) return /[0-9A-F]/.test(found) ? null : 'field-code';
    return /^1[0-5]$/.test(found) ? 'decimal-signal-id' : 'field-form';
  },
};

/** `ddmmyy`. */
export const DATE: Form = {
  allowed: 'ddmmyy of a day that exists',
  faultOf(found) {
    if (found.length !== 6 || wholeAt(found, 0, 6) < 0) return 'field-form';
    const [day, month, year] = [wholeAt(found, 0, 2), wholeAt(found, 2, 4), wholeAt(found, 4, 6)];
    return isDay(yearOf(year), month, day) ? null : 'date';
  },
};
