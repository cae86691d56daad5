import { dateOfDay, dayNumberOf, type Utc } from '../../base/time.js';

const TWO = Array.from({ length: 100 }, (_, value) => String(value).padStart(2, '0'));
const POWERS = [1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8];

/** Two digits of a whole number 0 to 99. */
export function two(value: number): string {
  return TWO[value] as string;
}

/** A whole number, zero-padded. */
export function padded(value: number, width: number): string {
  return String(value).padStart(width, '0');
}

/** A number with fixed decimals, rounded half away from zero; never a negative zero. */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return value < 0 && Number(text) === 0 ? text.slice(1) : text;
}

/** {@link fixed}, or nothing for what is not known. */
export function fixedOrBlank(value: number | null, decimals: number): string {
  return value === null ? '' : fixed(value, decimals);
}

/** An angle in [0, 360), rounded: what rounds to 360 is 0. */
export function bearing(valueDeg: number | null, decimals: number): string {
  if (valueDeg === null) return '';
  const text = valueDeg.toFixed(decimals);
  return Number(text) >= 360 ? (0).toFixed(decimals) : text;
}

/**
 * An angle as whole degrees and decimal minutes with its hemisphere: `4807.038,N`. Rounded in minutes before it is
 * taken apart, so that 60 minutes never stand there.
 * @param leadingZeros false: what stands before the point is a plain number, `1131.00,E` for 11 deg 31 min
 * @param carry false: degrees are taken off first, so that the minutes may be rounded up to 60
 */
export function degreesMinutes(
  valueDeg: number | null,
  degreeDigits: 2 | 3,
  decimals: number,
  positive: string,
  negative: string,
  leadingZeros = true,
  carry = true,
): string {
  if (valueDeg === null) return ',';
  const scale = POWERS[decimals] as number;
  const sizeDeg = Math.abs(valueDeg);
  const takenDeg = carry ? 0 : Math.floor(sizeDeg);
  const scaled = Math.round((sizeDeg - takenDeg) * 60 * scale);
  const whole = Math.floor(scaled / scale);
  const degrees = carry ? Math.floor(whole / 60) : takenDeg;
  const minutes = carry ? whole - degrees * 60 : whole;
  const fraction = decimals === 0 ? '' : `.${padded(scaled - whole * scale, decimals)}`;
  const hemisphere = valueDeg < 0 && (scaled > 0 || takenDeg > 0) ? negative : positive;
  if (!leadingZeros) return `${degrees * 100 + minutes}${fraction},${hemisphere}`;
  const degreeText = degreeDigits === 2 ? two(degrees) : padded(degrees, 3);
  return `${degreeText}${two(minutes)}${fraction},${hemisphere}`;
}

/**
 * Time of day and date of a UTC instant, rounded together: the carry goes up to the year, and a leap second stays.
 * @param minuteS length of the minute in which it is: 61 where a leap second ends it
 * @param carry false: seconds may be rounded up to 60, and nothing else changes
 */
export function timeAndDate(
  utc: Utc,
  decimals: number,
  minuteS: 60 | 61,
  carry = true,
): { time: string; day: number; month: number; year: number } {
  const scale = POWERS[decimals] as number;
  let { year, month, day, hour, minute } = utc;
  let scaled = Math.round(utc.second * scale);
  if (carry && scaled >= 60 * scale) {
    const lengthS = utc.second >= 60 ? 61 : minuteS;
    if (scaled >= lengthS * scale) {
      scaled -= lengthS * scale;
      minute++;
      if (minute === 60) {
        minute = 0;
        hour++;
      }
      if (hour === 24) {
        hour = 0;
        ({ year, month, day } = dateOfDay(dayNumberOf(year, month, day) + 1));
      }
    }
  }
  const seconds = Math.floor(scaled / scale);
  const fraction = decimals === 0 ? '' : `.${padded(scaled - seconds * scale, decimals)}`;
  return { time: `${two(hour)}${two(minute)}${two(seconds)}${fraction}`, day, month, year };
}
