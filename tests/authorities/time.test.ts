import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS as LEAPS } from '../../src/base/leap-seconds.js';
import { dayNumberOf, formatUtc, gpsFromUtc, parseUtc, utcFromGps } from '../../src/base/time.js';

const TABLE = new URL('../../../shared/data/tables/leap-seconds.list', import.meta.url).pathname;
/** TAI - GPS, s (IS-GPS-200: GPS time was set to UTC on 1980-01-06, when TAI - UTC was 19 s). */
const TAI_MINUS_GPS_S = 19;
/** From 1900-01-01 to 1970-01-01, days: the list's time stamps count from 1900. */
const DAYS_1900_TO_1970 = 25_567;
const SECONDS_PER_DAY = 86_400;

/**
 * IERS, list of leap seconds of Bulletin C (updated through 2025): from which UTC day on TAI - UTC is so
 * many seconds.
 */
const IERS: ReadonlyArray<readonly [from: string, taiMinusUtcS: number]> = [
  ['1980-01-06', 19],
  ['1981-07-01', 20],
  ['1982-07-01', 21],
  ['1983-07-01', 22],
  ['1985-07-01', 23],
  ['1988-01-01', 24],
  ['1990-01-01', 25],
  ['1991-01-01', 26],
  ['1992-07-01', 27],
  ['1993-07-01', 28],
  ['1994-07-01', 29],
  ['1996-01-01', 30],
  ['1997-07-01', 31],
  ['1999-01-01', 32],
  ['2006-01-01', 33],
  ['2009-01-01', 34],
  ['2012-07-01', 35],
  ['2015-07-01', 36],
  ['2017-01-01', 37],
];

function dayOf(date: string): number {
  const [year, month, day] = date.split('-').map(Number) as [number, number, number];
  return dayNumberOf(year, month, day);
}

/** Holds our table to changes of TAI - UTC, day by day from the start of GPS time to 2027. */
function expectTable(changes: ReadonlyArray<readonly [day: number, taiMinusUtcS: number]>): void {
  const last = dayOf('2027-01-01');
  for (let day = dayOf('1980-01-06'); day < last; day++) {
    const expected = changes.findLast(([from]) => from <= day) as readonly [number, number];
    const tomorrow = changes.findLast(([from]) => from <= day + 1) as readonly [number, number];
    if (LEAPS.gpsMinusUtcOnDayS(day) !== expected[1] - TAI_MINUS_GPS_S) expect.fail(`offset on day ${day}`);
    if (LEAPS.endsWithLeapSecond(day) !== tomorrow[1] > expected[1])
      expect.fail(`leap second at the end of day ${day}`);
  }
}

describe('IERS Bulletin C, list of leap seconds', () => {
  it('GPS - UTC on every day, by the values quoted from the list', () => {
    expectTable(IERS.map(([from, offset]) => [dayOf(from), offset] as const));
  });

  it('each leap second is read, kept as second 60 both ways, and followed by midnight', () => {
    for (const [from] of IERS.slice(1)) {
      const { week, towS } = gpsFromUtc(parseUtc(`${from}T00:00:00Z`));
      expect(formatUtc(utcFromGps({ week, towS }))).toBe(`${from}T00:00:00.000Z`);
      const leap = formatUtc(utcFromGps({ week, towS: towS - 0.25 }));
      expect(leap).toMatch(/-(06-30|12-31)T23:59:60\.750Z$/);
      expect(gpsFromUtc(parseUtc(leap))).toEqual({ week, towS: towS - 0.25 });
    }
  });

  it('2016-12-31T23:59:60Z is one second before 2017-01-01T00:00:00Z, and one after 23:59:59', () => {
    const leap = gpsFromUtc(parseUtc('2016-12-31T23:59:60Z'));
    expect(gpsFromUtc(parseUtc('2017-01-01T00:00:00Z'))).toEqual({ week: leap.week, towS: leap.towS + 1 });
    expect(gpsFromUtc(parseUtc('2016-12-31T23:59:59Z'))).toEqual({ week: leap.week, towS: leap.towS - 1 });
    expect(utcFromGps(leap)).toEqual({ year: 2016, month: 12, day: 31, hour: 23, minute: 59, second: 60 });
  });

  it.skipIf(!existsSync(TABLE))('leap-seconds.list: GPS - UTC on every day', () => {
    const changes = readFileSync(TABLE, 'utf8')
      .split('\n')
      .filter((line) => /^\d/.test(line))
      .map((line) => {
        const [ntpS, offset] = line.split(/\s+/).map(Number) as [number, number];
        return [ntpS / SECONDS_PER_DAY - DAYS_1900_TO_1970, offset] as const;
      });
    expect(changes.length).toBe(28);
    expectTable(changes);
  });
});

describe('GPS weeks: start of GPS time and rollovers of the 10-bit week (IS-GPS-200, 3.3.4 and 20.3.3.3.1.1)', () => {
  it.each([
    [0, '1980-01-06', 0],
    [1024, '1999-08-22', 13],
    [2048, '2019-04-07', 18],
    [3072, '2038-11-21', 18],
  ])('week %i begins on %s (GPS - UTC %i s; in 2038 if no leap second is added)', (week, date, offset) => {
    expect(gpsFromUtc(parseUtc(`${date}T00:00:00Z`))).toEqual({ week, towS: offset });
    const start = formatUtc(utcFromGps({ week, towS: 0 }, 0));
    expect(start).toBe(`${date}T00:00:00.000Z`);
  });
});
