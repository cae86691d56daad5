import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import {
  addSeconds,
  dateOfDay,
  dayNumberOf,
  formatUtc,
  gpsFromUtc,
  parseUtc,
  secondsBetween,
  type Utc,
  utcFromGps,
} from '../../src/base/time.js';

/** A time of week in a double holds 1e-10 s; a few sums of it. */
const CLOCK_TOLERANCE_S = 1e-9;
const MS_PER_DAY = 86_400_000;
/** Week 2298, of 2024: after the last leap second so far. */
const AFTER_LEAP_SECONDS = 2298;

function codeOf(action: () => unknown): string {
  try {
    action();
  } catch (error) {
    expect(error).toBeInstanceOf(LodestubError);
    return (error as LodestubError).code;
  }
  return 'no error';
}

function utc(year: number, month: number, day: number, hour = 0, minute = 0, second = 0): Utc {
  return { year, month, day, hour, minute, second };
}

describe('calendar', () => {
  it('counts days as ECMAScript’s Date does, both ways, over four centuries', () => {
    for (let day = -10_000; day < 140_000; day += 1) {
      const date = new Date(day * MS_PER_DAY);
      const { year, month, day: ofMonth } = dateOfDay(day);
      const isSame =
        year === date.getUTCFullYear() && month === date.getUTCMonth() + 1 && ofMonth === date.getUTCDate();
      if (!isSame || dayNumberOf(year, month, ofMonth) !== day) expect.fail(`day ${day}: ${year}-${month}-${ofMonth}`);
    }
  });
});

describe('UTC and GPS time', () => {
  it('round-trips at every millisecond, near leap seconds too', () => {
    // Weeks around each leap second since 2006, and any week from 1980 to 2100.
    const week = fc.oneof(fc.constantFrom(1356, 1512, 1694, 1695, 1851, 1930, 1931), fc.integer({ min: 0, max: 6260 }));
    const nearMidnight = fc
      .tuple(fc.integer({ min: 0, max: 6 }), fc.integer({ min: -2000, max: 20_000 }))
      .map(([day, ms]) => Math.max(0, day * MS_PER_DAY + ms));
    const towMs = fc.oneof(nearMidnight, fc.integer({ min: 0, max: 7 * MS_PER_DAY - 1 }));
    fc.assert(
      fc.property(week, towMs, (weekNumber, ms) => {
        const time = { week: weekNumber, towS: ms / 1000 };
        const there = utcFromGps(time);
        expect(Math.abs(secondsBetween(gpsFromUtc(there), time))).toBeLessThan(CLOCK_TOLERANCE_S);
        expect(there.second).toBeGreaterThanOrEqual(0);
        expect(there.second).toBeLessThan(61);
      }),
      { numRuns: 2000 },
    );
  });

  it('never runs backwards and never stands, second by second over the leap second of 2016', () => {
    const before = gpsFromUtc(utc(2016, 12, 31, 23, 59, 50));
    const read = Array.from({ length: 20 }, (_, s) => formatUtc(utcFromGps(addSeconds(before, s))).slice(11, 19));
    expect(read.slice(8, 13)).toEqual(['23:59:58', '23:59:59', '23:59:60', '00:00:00', '00:00:01']);
    expect(new Set(read).size).toBe(read.length);
  });

  it('takes a fixed offset for what a receiver assumes that was not told', () => {
    const midnight = gpsFromUtc(utc(2022, 2, 18));
    expect(formatUtc(utcFromGps(midnight, 18))).toBe('2022-02-18T00:00:00.000Z');
    expect(formatUtc(utcFromGps(midnight, 17))).toBe('2022-02-18T00:00:01.000Z');
    expect(formatUtc(utcFromGps(midnight, 19))).toBe('2022-02-17T23:59:59.000Z');
  });

  it('adds and subtracts across weeks', () => {
    const end = { week: AFTER_LEAP_SECONDS, towS: 604_799.5 };
    expect(addSeconds(end, 1)).toEqual({ week: AFTER_LEAP_SECONDS + 1, towS: 0.5 });
    expect(addSeconds({ week: AFTER_LEAP_SECONDS, towS: 0.5 }, -1)).toEqual({
      week: AFTER_LEAP_SECONDS - 1,
      towS: 604_799.5,
    });
    expect(secondsBetween(addSeconds(end, 1e6), end)).toBe(1e6);
  });
});

describe('reading and writing UTC', () => {
  it.each([
    ['2022-02-18T09:30:00Z', utc(2022, 2, 18, 9, 30, 0)],
    ['2022-02-18 09:30Z', utc(2022, 2, 18, 9, 30, 0)],
    ['  2020-02-29T23:59:59.125Z ', utc(2020, 2, 29, 23, 59, 59.125)],
    ['2016-12-31T23:59:60.5Z', utc(2016, 12, 31, 23, 59, 60.5)],
    ['1980-01-06T00:00:00Z', utc(1980, 1, 6)],
  ])('reads %s', (text, expected) => {
    expect(parseUtc(text)).toEqual(expected);
  });

  it.each([
    ['', 'time.format'],
    ['now', 'time.format'],
    ['2022-02-18', 'time.format'],
    ['2022-02-18T09:30:00', 'time.format'],
    ['2022-02-18T09:30:00+01:00', 'time.format'],
    ['2022-2-18T09:30:00Z', 'time.format'],
    ['2022-02-18T09:30:00.1234567891Z', 'time.format'],
    ['2022-02-30T00:00:00Z', 'time.calendar'],
    ['2023-02-29T00:00:00Z', 'time.calendar'],
    ['2022-13-01T00:00:00Z', 'time.calendar'],
    ['2022-00-10T00:00:00Z', 'time.calendar'],
    ['2022-01-00T00:00:00Z', 'time.calendar'],
    ['2022-01-01T24:00:00Z', 'time.calendar'],
    ['2022-01-01T00:60:00Z', 'time.calendar'],
    ['2022-01-01T00:00:60Z', 'time.calendar'],
    ['2016-12-31T22:59:60Z', 'time.calendar'],
    ['2016-12-31T23:59:61Z', 'time.calendar'],
    ['1980-01-05T23:59:59Z', 'time.calendar'],
    ['2201-01-01T00:00:00Z', 'time.calendar'],
  ])('refuses %s with %s', (text, code) => {
    expect(codeOf(() => parseUtc(text))).toBe(code);
  });

  it('says what a time looks like, and what was found', () => {
    expect(() => parseUtc('18.2.2022')).toThrow(
      'time.format: expected a time in UTC such as 2022-02-18T09:30:00Z, got "18.2.2022".',
    );
  });

  it('reads what it writes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 6000 }), fc.integer({ min: 0, max: 7 * MS_PER_DAY - 1 }), (week, ms) => {
        const text = formatUtc(utcFromGps({ week, towS: ms / 1000 }));
        expect(formatUtc(parseUtc(text))).toBe(text);
        expect(Math.abs(secondsBetween(gpsFromUtc(parseUtc(text)), { week, towS: ms / 1000 }))).toBeLessThan(
          CLOCK_TOLERANCE_S,
        );
      }),
    );
  });

  it('never writes a second that the minute does not have', () => {
    expect(formatUtc(utc(2022, 2, 18, 9, 30, 59.9999))).toBe('2022-02-18T09:30:59.999Z');
    expect(formatUtc(utc(2016, 12, 31, 23, 59, 60.9999))).toBe('2016-12-31T23:59:60.999Z');
  });
});
