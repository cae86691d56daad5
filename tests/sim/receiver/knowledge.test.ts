import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import {
  addSeconds,
  dayNumberOf,
  formatUtc,
  type GpsTime,
  gpsFromUtc,
  parseUtc,
  type Utc,
} from '../../../src/base/time.js';
import { Knowledge } from '../../../src/sim/receiver/knowledge.js';
import type { SystemName } from '../../../src/sim/sky/system.js';

const TODAY = gpsFromUtc(parseUtc('2022-02-18T09:30:00Z'));

function knowledge(
  settings: { assumedLeapSeconds?: number; firmwareWeek?: number } = {},
  leap = PUBLISHED_LEAP_SECONDS,
) {
  const { assumedLeapSeconds = null, firmwareWeek = null } = settings;
  return new Knowledge({ assumedLeapSeconds, firmwareWeek }, leap);
}

const weekOf = (date: string) => gpsFromUtc(parseUtc(`${date}T12:00:00Z`)).week;

/** The date that a receiver with firmware of a date claims at a time, if this system's message came first. */
function claimed(system: SystemName, firmware: string, truth: string): string {
  const one = knowledge({ firmwareWeek: weekOf(firmware) });
  const gps = gpsFromUtc(parseUtc(truth));
  one.learnTime();
  one.learnLeap();
  one.learnDate(system, gps);
  return formatUtc(one.utcOf(gps) as Utc).slice(0, 19);
}

describe('what comes when', () => {
  it('nothing is claimed without time; date and GPS - UTC are known once they were heard', () => {
    const one = knowledge({ assumedLeapSeconds: 15 });
    const secondOf = () => one.utcOf(TODAY)?.second;
    one.start('cold', TODAY);
    expect(one.utcOf(TODAY)).toBeNull();
    expect([one.timeKnown, one.dateKnown]).toEqual([false, false]);
    one.learnTime();
    expect(secondOf()).toBe(3);
    one.learnDate('gps', TODAY);
    one.learnLeap();
    expect([one.timeKnown, one.dateKnown, secondOf()]).toEqual([true, true, 0]);
    one.restart('hot');
    expect([one.timeKnown, one.dateKnown, secondOf()]).toEqual([true, true, 0]);
    one.restart('cold');
    expect([one.timeKnown, one.dateKnown]).toEqual([false, false]);
    one.learnTime();
    expect(secondOf()).toBe(3);
  });

  it('a warm and a hot start remember all of it, the date as firmware had resolved it', () => {
    for (const kind of ['warm', 'hot'] as const) {
      const one = knowledge({ assumedLeapSeconds: 15, firmwareWeek: weekOf('2001-01-01') });
      one.start(kind, TODAY);
      expect([one.timeKnown, one.dateKnown]).toEqual([true, true]);
      // 1024 weeks before 2022-02-18.
      expect(formatUtc(one.utcOf(TODAY) as Utc)).toBe('2002-07-05T09:30:00.000Z');
    }
  });
});

describe('GPS - UTC', () => {
  it('that firmware assumes makes UTC whole seconds wrong until the message tells, and then it steps', () => {
    const one = knowledge({ assumedLeapSeconds: 15 });
    one.learnTime();
    expect(formatUtc(one.utcOf(TODAY) as Utc)).toBe('2022-02-18T09:30:03.000Z');
    one.learnLeap();
    expect(formatUtc(one.utcOf(TODAY) as Utc)).toBe('2022-02-18T09:30:00.000Z');
  });

  it('the leap second 2016-12-31 23:59:60 (IERS Bulletin C 52): second 60, a minute of 61 s', () => {
    const leap = gpsFromUtc(parseUtc('2016-12-31T23:59:60Z'));
    const one = knowledge();
    one.learnTime();
    const at = (deltaS: number) => {
      const gps = addSeconds(leap, deltaS);
      return [formatUtc(one.utcOf(gps) as Utc), one.minuteS(gps)];
    };
    expect(at(-61)).toEqual(['2016-12-31T23:58:59.000Z', 60]);
    expect(at(-60)).toEqual(['2016-12-31T23:59:00.000Z', 61]);
    expect(at(-1)).toEqual(['2016-12-31T23:59:59.000Z', 61]);
    expect(at(0.5)).toEqual(['2016-12-31T23:59:60.500Z', 61]);
    expect(at(1)).toEqual(['2017-01-01T00:00:00.000Z', 60]);
  });

  it('with fixed seconds there is none: the receiver is a second late from then on', () => {
    const leap = gpsFromUtc(parseUtc('2016-12-31T23:59:60Z'));
    const one = knowledge({ assumedLeapSeconds: 17 });
    one.learnTime();
    expect(formatUtc(one.utcOf(leap) as Utc)).toBe('2017-01-01T00:00:00.000Z');
    expect(one.minuteS(addSeconds(leap, -5))).toBe(60);
    expect(formatUtc(one.utcOf(addSeconds(leap, 1)) as Utc)).toBe('2017-01-01T00:00:01.000Z');
  });

  it('a fictional one', () => {
    const table = PUBLISHED_LEAP_SECONDS.withOneMore(dayNumberOf(2030, 6, 30));
    const after = gpsFromUtc(parseUtc('2030-07-01T00:00:00Z'), table);
    const one = knowledge({}, table);
    one.learnTime();
    expect(formatUtc(one.utcOf(addSeconds(after, -0.5)) as Utc)).toBe('2030-06-30T23:59:60.500Z');
    expect(one.minuteS(addSeconds(after, -30))).toBe(61);
    expect(formatUtc(one.utcOf(after) as Utc)).toBe('2030-07-01T00:00:00.000Z');
  });
});

describe('dates from truncated week numbers', () => {
  it.each([
    // GPS: 10 bits (IS-GPS-200N, 20.3.3.3.1.1): a rollover at each of these dates.
    ['gps', '1995-03-01', '1999-08-21T23:59:50', '1999-08-21T23:59:50'],
    ['gps', '1995-03-01', '1999-08-22T00:00:10', '1999-08-22T00:00:10'],
    ['gps', '1980-01-06', '1999-08-22T12:00:00', '1980-01-06T12:00:00'],
    ['gps', '2010-06-01', '2019-04-06T23:59:00', '2019-04-06T23:59:00'],
    ['gps', '2010-06-01', '2019-04-07T00:00:10', '2019-04-07T00:00:10'],
    ['gps', '1999-08-22', '2019-04-07T12:00:00', '1999-08-22T12:00:00'],
    ['gps', '2022-01-01', '2038-11-21T00:00:10', '2038-11-21T00:00:10'],
    ['gps', '2019-04-07', '2038-11-21T12:00:00', '2019-04-07T12:00:00'],
    ['qzss', '2001-01-01', '2022-02-18T09:30:00', '2002-07-05T09:30:00'],
    ['sbas', '2001-01-01', '2022-02-18T09:30:00', '2002-07-05T09:30:00'],
    // NavIC: 10 bits from 1999-08-22 (IRNSS SIS ICD 1.1, 6.2.1): with GPS's, since 1024 weeks lie between the epochs.
    ['navic', '1999-08-22', '2019-04-07T12:00:00', '1999-08-22T12:00:00'],
    ['navic', '2015-01-01', '2019-04-07T12:00:00', '2019-04-07T12:00:00'],
    // Galileo: 12 bits from 1999-08-22 (OS SIS ICD 2.1, 5.1.2): over on 2078-02-20.
    ['galileo', '1999-08-22', '2038-11-21T12:00:00', '2038-11-21T12:00:00'],
    ['galileo', '1999-08-22', '2078-02-20T12:00:00', '1999-08-22T12:00:00'],
    ['galileo', '2020-01-01', '2078-02-20T12:00:00', '2078-02-20T12:00:00'],
    // BeiDou: 13 bits from 2006-01-01 (B1I 3.0, 3.3): over on 2163-01-02.
    ['beidou', '2006-01-01', '2038-11-21T12:00:00', '2038-11-21T12:00:00'],
    ['beidou', '2006-01-01', '2163-01-02T12:00:00', '2006-01-01T12:00:00'],
    ['beidou', '2020-01-01', '2163-01-02T12:00:00', '2163-01-02T12:00:00'],
    // GLONASS: days of four years, and 5 bits of their number from 1996 (ICD 5.1, table 4.6): good for 128 years.
    ['glonass', '1998-01-01', '2038-11-21T12:00:00', '2038-11-21T12:00:00'],
    ['glonass', '2023-01-01', '2022-02-18T09:30:00', '2022-02-18T09:30:00'],
  ] as const)('%s, firmware of %s: at %s it claims %s', (system, firmware, truth, expected) => {
    expect(claimed(system, firmware, `${truth}Z`)).toBe(expected);
  });

  it('GLONASS: firmware made in later four years takes the date for one 128 years on', () => {
    expect(claimed('glonass', '2024-06-01', '2022-02-18T09:30:00Z').slice(0, 4)).toBe('2150');
  });

  it('without a week of firmware the date is right', () => {
    for (const date of ['1999-08-22', '2019-04-07', '2038-11-21', '2078-02-20']) {
      const gps = gpsFromUtc(parseUtc(`${date}T12:00:00Z`));
      const one = knowledge();
      one.learnTime();
      one.learnDate('gps', gps);
      expect(formatUtc(one.utcOf(gps) as Utc)).toBe(`${date}T12:00:00.000Z`);
    }
  });

  it('whose date came first decides, and it runs on through the rollover', () => {
    const settings = { firmwareWeek: weekOf('2001-01-01') };
    const date = (first: SystemName, second: SystemName, gps: GpsTime) => {
      const one = knowledge(settings);
      one.learnTime();
      one.learnDate(first, gps);
      one.learnDate(second, gps);
      return one;
    };
    expect(formatUtc(date('gps', 'galileo', TODAY).utcOf(TODAY) as Utc)).toMatch(/^2002-07-05/);
    expect(formatUtc(date('galileo', 'gps', TODAY).utcOf(TODAY) as Utc)).toMatch(/^2022-02-18/);
    const eve = gpsFromUtc(parseUtc('2019-04-06T23:00:00Z'));
    const one = knowledge({ firmwareWeek: weekOf('2010-06-01') });
    one.learnTime();
    one.learnDate('gps', eve);
    expect(formatUtc(one.utcOf(addSeconds(eve, 7200)) as Utc)).toBe('2019-04-07T01:00:00.000Z');
  });

  it('a shifted date keeps its leap second', () => {
    const leap = gpsFromUtc(parseUtc('2016-12-31T23:59:60Z'));
    const one = knowledge({ firmwareWeek: 0 });
    one.learnTime();
    one.learnLeap();
    one.learnDate('gps', leap);
    expect(formatUtc(one.utcOf(leap) as Utc)).toBe('1997-05-17T23:59:60.000Z');
    expect(one.minuteS(leap)).toBe(61);
  });
});
