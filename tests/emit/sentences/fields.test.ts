import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import { addSeconds, dayNumberOf, gpsFromUtc, secondsBetween, type Utc, utcFromGps } from '../../../src/base/time.js';
import { bearing, degreesMinutes, fixed, timeAndDate } from '../../../src/emit/sentences/fields.js';

/** What a double near 180 deg in minutes of arc, or a time of week, is wrong by in a few operations. */
const ARITHMETIC = 1e-10;
const RUNS = { numRuns: 1000 };

const decimals = fc.integer({ min: 0, max: 8 });
const latitude = fc.double({ min: -90, max: 90, noNaN: true });
const longitude = fc.double({ min: -180, max: 180, noNaN: true });

/** Reads ddmm.mmmm,H as a host does. */
function readAngle(text: string, degreeDigits: number): number {
  const [value, hemisphere] = text.split(',') as [string, string];
  expect(value).toMatch(new RegExp(`^\\d{${degreeDigits}}[0-5]\\d(\\.\\d+)?$`));
  const sign = hemisphere === 'S' || hemisphere === 'W' ? -1 : 1;
  return sign * (Number(value.slice(0, degreeDigits)) + Number(value.slice(degreeDigits)) / 60);
}

describe('latitude and longitude', () => {
  it('are what was given, to the printed digit, with 0 to 8 decimals, and never 60 minutes', () => {
    fc.assert(
      fc.property(latitude, longitude, decimals, (lat, lon, digits) => {
        const half = (0.5 * 10 ** -digits) / 60 + ARITHMETIC;
        expect(Math.abs(readAngle(degreesMinutes(lat, 2, digits, 'N', 'S'), 2) - lat)).toBeLessThanOrEqual(half);
        expect(Math.abs(readAngle(degreesMinutes(lon, 3, digits, 'E', 'W'), 3) - lon)).toBeLessThanOrEqual(half);
      }),
      RUNS,
    );
  });

  it('never have 60 minutes a hair below a whole degree', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 180 }),
        fc.double({ min: 0, max: 1e-3, noNaN: true }),
        decimals,
        (whole, less, digits) => {
          const text = degreesMinutes(whole - less, 3, digits, 'E', 'W');
          expect(Math.abs(readAngle(text, 3) - (whole - less))).toBeLessThanOrEqual(
            (0.5 * 10 ** -digits) / 60 + ARITHMETIC,
          );
        },
      ),
      RUNS,
    );
  });

  it.each([
    [59.99999999 / 60, 4, '00100.0000,E'],
    [47 + 59.99995 / 60, 4, '04800.0000,E'],
    [47 + 59.99994 / 60, 4, '04759.9999,E'],
    [179.9999999999, 4, '18000.0000,E'],
    [180, 4, '18000.0000,E'],
    [-180, 4, '18000.0000,W'],
    [-179.9999999999, 4, '18000.0000,W'],
    [179.5, 0, '17930,E'],
    [8.2, 2, '00812.00,E'],
  ])('writes %f deg with %i decimals as %s', (value, digits, text) => {
    expect(degreesMinutes(value, 3, digits, 'E', 'W')).toBe(text);
  });

  it('keep the hemisphere within a degree of the equator and of Greenwich, and a zero has none of its own', () => {
    expect(degreesMinutes(-0.5, 2, 4, 'N', 'S')).toBe('0030.0000,S');
    expect(degreesMinutes(0.5, 2, 4, 'N', 'S')).toBe('0030.0000,N');
    expect(degreesMinutes(-0.0001, 3, 4, 'E', 'W')).toBe('00000.0060,W');
    // What rounds to nothing is written as the equator itself.
    expect(degreesMinutes(-1e-9, 2, 4, 'N', 'S')).toBe('0000.0000,N');
    expect(degreesMinutes(-0, 2, 4, 'N', 'S')).toBe('0000.0000,N');
  });

  it('round a half away from zero on both sides', () => {
    // An eighth of a degree is 7.5 minutes, 1/128 deg is 0.46875: both without a rest in binary.
    expect(degreesMinutes(0.125, 2, 0, 'N', 'S')).toBe('0008,N');
    expect(degreesMinutes(-0.125, 2, 0, 'N', 'S')).toBe('0008,S');
    expect(degreesMinutes(1 / 128, 2, 4, 'N', 'S')).toBe('0000.4688,N');
    expect(degreesMinutes(-1 / 128, 2, 4, 'N', 'S')).toBe('0000.4688,S');
  });

  it('are blank when not known', () => {
    expect(degreesMinutes(null, 2, 4, 'N', 'S')).toBe(',');
  });
});

describe('numbers', () => {
  it('are what was given, to the printed digit, and never a negative zero', () => {
    fc.assert(
      fc.property(fc.double({ min: -20000, max: 20000, noNaN: true }), decimals, (value, digits) => {
        const text = fixed(value, digits);
        expect(text).toMatch(digits === 0 ? /^-?\d+$/ : new RegExp(`^-?\\d+\\.\\d{${digits}}$`));
        expect(text).not.toMatch(/^-0(\.0*)?$/);
        expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(0.5 * 10 ** -digits + ARITHMETIC);
      }),
      RUNS,
    );
  });

  it.each([
    [0.125, 2, '0.13'],
    [-0.125, 2, '-0.13'],
    [2.5, 0, '3'],
    [-2.5, 0, '-3'],
    [0.5, 0, '1'],
    [-0.5, 0, '-1'],
    [46.25, 1, '46.3'],
    [-46.25, 1, '-46.3'],
    [-0.04, 1, '0.0'],
    [-0, 1, '0.0'],
    [0, 1, '0.0'],
    [99.95, 1, '100.0'],
  ])('round %f to %i decimals, a half away from zero: %s', (value, digits, text) => {
    expect(fixed(value, digits)).toBe(text);
  });
});

describe('course', () => {
  it('is never 360, and what was given to the printed digit on the circle', () => {
    const value = fc.oneof(
      fc.double({ min: 0, max: 360, maxExcluded: true, noNaN: true }),
      fc.double({ min: 359.9, max: 360, maxExcluded: true, noNaN: true }),
    );
    fc.assert(
      fc.property(value, decimals, (courseDeg, digits) => {
        const read = Number(bearing(courseDeg, digits));
        expect(read).toBeLessThan(360);
        const off = Math.abs(read - courseDeg);
        expect(Math.min(off, 360 - off)).toBeLessThanOrEqual(0.5 * 10 ** -digits + ARITHMETIC);
      }),
      RUNS,
    );
    expect(bearing(359.96, 1)).toBe('0.0');
    expect(bearing(359.94, 1)).toBe('359.9');
    expect(bearing(null, 1)).toBe('');
  });
});

/** Reads time and date as a host does, with the checks that a careful one makes. */
function readTime({ time, day, month, year }: ReturnType<typeof timeAndDate>): Utc {
  const match = /^(\d\d)(\d\d)(\d\d(?:\.\d+)?)$/.exec(time);
  expect(match).not.toBeNull();
  const [hour, minute, second] = (match as RegExpExecArray).slice(1).map(Number) as [number, number, number];
  return { year, month, day, hour, minute, second };
}

const utc = fc
  .tuple(fc.integer({ min: 1, max: 6000 }), fc.double({ min: 0, max: 604800, maxExcluded: true, noNaN: true }))
  .map(([week, towS]) => utcFromGps({ week, towS }));

/** Length of the minute of an instant by the published leap seconds, s. */
function minuteS({ year, month, day, hour, minute }: Utc): 60 | 61 {
  const isLast = hour === 23 && minute === 59;
  return isLast && PUBLISHED_LEAP_SECONDS.endsWithLeapSecond(dayNumberOf(year, month, day)) ? 61 : 60;
}

describe('time and date', () => {
  it('are what was given, to the printed digit, with 0 to 8 decimals, and never a second or minute 60', () => {
    fc.assert(
      fc.property(utc, decimals, (instant, digits) => {
        const read = readTime(timeAndDate(instant, digits, minuteS(instant)));
        expect(read.hour).toBeLessThan(24);
        expect(read.minute).toBeLessThan(60);
        expect(read.second).toBeLessThan(instant.second >= 59 && instant.minute === 59 ? 61 : 60);
        const offS = secondsBetween(gpsFromUtc(read), gpsFromUtc(instant));
        // A time of week has ten digits after the point in a double.
        expect(Math.abs(offS)).toBeLessThanOrEqual(0.5 * 10 ** -digits + ARITHMETIC * 10);
      }),
      RUNS,
    );
  });

  it('carry over every border at its last moment', () => {
    const border = fc.constantFrom(1, 60, 3600, 86400, 30 * 86400);
    fc.assert(
      fc.property(
        border,
        fc.integer({ min: 1, max: 400 }),
        fc.double({ min: 1e-9, max: 0.9, noNaN: true }),
        decimals,
        (stepS, n, lessS, digits) => {
          const start = gpsFromUtc({ year: 2026, month: 1, day: 1, hour: 0, minute: 0, second: 0 });
          const instant = utcFromGps(addSeconds(start, stepS * n - lessS));
          const read = readTime(timeAndDate(instant, digits, minuteS(instant)));
          expect(read.second).toBeLessThan(60);
          expect(Math.abs(secondsBetween(gpsFromUtc(read), gpsFromUtc(instant)))).toBeLessThanOrEqual(
            0.5 * 10 ** -digits + ARITHMETIC * 10,
          );
        },
      ),
      RUNS,
    );
  });

  const at = (year: number, month: number, day: number, hour: number, minute: number, second: number): Utc => ({
    year,
    month,
    day,
    hour,
    minute,
    second,
  });

  it.each([
    ['the end of a minute', at(2026, 5, 12, 6, 40, 59.996), 2, '064100.00', 12, 5, 2026],
    ['the end of an hour', at(2026, 5, 12, 6, 59, 59.5), 0, '070000', 12, 5, 2026],
    ['the end of a day', at(2026, 5, 12, 23, 59, 59.9996), 3, '000000.000', 13, 5, 2026],
    ['the end of February in a leap year', at(2028, 2, 28, 23, 59, 59.96), 1, '000000.0', 29, 2, 2028],
    ['the end of February in another', at(2026, 2, 28, 23, 59, 59.96), 1, '000000.0', 1, 3, 2026],
    ['the end of a year', at(2026, 12, 31, 23, 59, 59.999), 2, '000000.00', 1, 1, 2027],
    ['what stays below', at(2026, 12, 31, 23, 59, 59.994), 2, '235959.99', 31, 12, 2026],
    // The leap second at the end of 2016 (IERS Bulletin C 52).
    ['the second before a leap second', at(2016, 12, 31, 23, 59, 59.996), 2, '235960.00', 31, 12, 2016],
    ['a leap second', at(2016, 12, 31, 23, 59, 60), 2, '235960.00', 31, 12, 2016],
    ['within a leap second', at(2016, 12, 31, 23, 59, 60.25), 0, '235960', 31, 12, 2016],
    ['the end of a leap second', at(2016, 12, 31, 23, 59, 60.996), 2, '000000.00', 1, 1, 2017],
  ])('write %s', (_name, instant, digits, time, day, month, year) => {
    expect(timeAndDate(instant, digits, minuteS(instant))).toEqual({ time, day, month, year });
  });

  it('take the length of the minute from the module, not from what was published', () => {
    const late = at(2030, 6, 30, 23, 59, 59.999);
    expect(timeAndDate(late, 2, 61)).toEqual({ time: '235960.00', day: 30, month: 6, year: 2030 });
    expect(timeAndDate(late, 2, 60)).toEqual({ time: '000000.00', day: 1, month: 7, year: 2030 });
    const missed = at(2016, 12, 31, 23, 59, 59.999);
    expect(timeAndDate(missed, 2, 60)).toEqual({ time: '000000.00', day: 1, month: 1, year: 2017 });
  });
});
