import { describe, expect, it } from 'vitest';
import { readTime } from '../../../src/trial/reports/report-time.js';
import { NOW_MS, settingsOf } from './helper.js';

const at = (value: unknown, time: string, nowMs = NOW_MS) =>
  readTime(value, settingsOf(`{ format: json-lines, time: ${time} }`).time, nowMs);
const utc = (iso: string, isDateTold = true) => ({ utcMs: Date.parse(iso), isDateTold });

describe('a time', () => {
  it.each([
    ['2022-02-18T09:30:00Z', 'utc', '2022-02-18T09:30:00Z'],
    ['2022-02-18T09:30:00', 'utc', '2022-02-18T09:30:00Z'],
    ['2022-02-18 09:30:00.25', 'utc', '2022-02-18T09:30:00.250Z'],
    ['2022-02-18T10:30:00+01:00', 'utc', '2022-02-18T09:30:00Z'],
    ['2022-02-18 10:30:00 +01:00', 'utc', '2022-02-18T09:30:00Z'],
    ['20220218T093000Z', 'utc', '2022-02-18T09:30:00Z'],
    ['1980-01-06T00:00:00Z', 'utc', '1980-01-06T00:00:00Z'],
    ['2016-12-31T23:59:60Z', 'utc', '2017-01-01T00:00:00Z'],
    ['2022-02-18T10:30:00', '{ zone: Europe/Oslo }', '2022-02-18T09:30:00Z'],
    ['2022-07-18T11:30:00', '{ zone: Europe/Oslo }', '2022-07-18T09:30:00Z'],
    ['2022-02-18T09:30:00Z', '{ zone: Europe/Oslo }', '2022-02-18T09:30:00Z'],
    ['18.02.2022 10:30:00', "{ zone: Europe/Oslo, form: 'dd.MM.yyyy HH:mm:ss' }", '2022-02-18T09:30:00Z'],
    ['18.02.2022 09:30:00', "{ form: 'dd.MM.yyyy HH:mm:ss' }", '2022-02-18T09:30:00Z'],
    ['1645176600', 'unix-s', '2022-02-18T09:30:00Z'],
    [1645176600.25, 'unix-s', '2022-02-18T09:30:00.250Z'],
    [1645176600250, 'unix-ms', '2022-02-18T09:30:00.250Z'],
    [0, 'unix-s', '1970-01-01T00:00:00Z'],
  ])('%s in %s is %s', (value, time, iso) => {
    expect(at(value, time)).toEqual(utc(iso));
  });

  it.each([
    ['23:59:59.5Z', 'utc', '2022-02-17T23:59:59.500Z'],
    ['00:00:01', 'utc', '2022-02-18T00:00:01Z'],
    ['000001', 'utc', '2022-02-18T00:00:01Z'],
    ['01:00:01', '{ zone: Europe/Oslo }', '2022-02-18T00:00:01Z'],
    ['00.59.59', "{ zone: Europe/Oslo, form: 'HH.mm.ss' }", '2022-02-17T23:59:59Z'],
  ])('of day, %s in %s, is at the date nearest to now, which it does not tell: %s', (value, time, iso) => {
    expect(at(value, time, Date.parse('2022-02-18T00:00:00Z'))).toEqual(utc(iso, false));
  });

  // Clocks go forward at 01:00 UTC on 27 March and back on 30 October 2022 (Directive 2000/84/EC, articles 2 and 3).
  it('that the change of clocks leaves out is none (Directive 2000/84/EC)', () => {
    expect(at('2022-03-27T02:30:00', '{ zone: Europe/Oslo }')).toEqual({
      why: 'the time "2022-03-27T02:30:00" does not exist in Europe/Oslo: the clocks go forward there',
    });
  });

  it('that comes twice when clocks go back is the one nearest to now (Directive 2000/84/EC)', () => {
    for (const iso of ['2022-10-30T00:30:00Z', '2022-10-30T01:30:00Z']) {
      expect(at('2022-10-30T02:30:00', '{ zone: Europe/Oslo }', Date.parse(iso))).toEqual(utc(iso));
      expect(at('02:30:00', '{ zone: Europe/Oslo }', Date.parse(iso))).toEqual(utc(iso, false));
    }
  });

  it.each([
    ['2022-02-30T01:00:00Z', 'utc', 'day'],
    ['2022', 'utc', 'no date and time'],
    ['2022-02-18', 'utc', 'no date and time'],
    ['18/02/2022 09:30', 'utc', 'is no time in ISO 8601'],
    [1645176600250, 'utc', 'time: unix-ms reads such'],
    [1645176600250, 'unix-s', 'time: unix-ms reads such'],
    ['2022-02-18T09:30:00Z', 'unix-s', 'is no number of s since 1970'],
    ['3022-02-18T09:30:00Z', 'utc', 'not within the years 1900 to 2300'],
    [{}, 'utc', 'is no text'],
  ])('%s in %s says why it is none', (value, time, why) => {
    const read = at(value, time);
    expect('why' in read && read.why).toContain(why);
  });
});
