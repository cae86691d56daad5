import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { parseShiftTime } from '../../src/replay/shift-time.js';
import { SentenceShifter } from '../../src/replay/shifted-sentence.js';
import { dataText, hasData } from '../authorities/open-data.js';
import { AIRBORNE, COLD_TO_FIX, epochText, latin1, recordsOf, replay, sentence, shifted } from './helper.js';

const DAY_S = 86_400;
const WEEK_S = 7 * DAY_S;

/** Fields of a sentence, checksum aside. */
const fieldsOf = (text: string) => text.slice(1).split('*')[0]?.split(',') ?? [];

/** Checks a checksum by an exclusive or of its own. */
function hasGoodChecksum(text: string): boolean {
  return sentence(text.slice(1, -3), '').toUpperCase() === text.toUpperCase();
}

describe('a shift of the times in sentences', () => {
  const times = fc.record({
    // Two digits of the year stand for 1980 to 2079 before and after.
    ms: fc.integer({ min: Date.UTC(1990, 0, 1) / 1000, max: Date.UTC(2060, 0, 1) / 1000 }),
    shiftS: fc.integer({ min: -10 * 366 * DAY_S, max: 10 * 366 * DAY_S }),
    decimals: fc.constantFrom('', '.0', '.25', '.123', '.'),
  });

  it('gives the time and date that the library luxon computes, in every kind of sentence', () => {
    fc.assert(
      fc.property(times, ({ ms: epochS, shiftS, decimals }) => {
        const at = (s: number) => DateTime.fromSeconds(s, { zone: 'utc' });
        const body = (s: number, put: (time: string, date: DateTime) => string) =>
          put(at(s).toFormat('HHmmss') + decimals, at(s));
        const forms: readonly ((time: string, date: DateTime) => string)[] = [
          (time, date) => `GNRMC,${time},A,5223.0,N,00943.0,E,0.1,90.0,${date.toFormat('ddMMyy')},,,A`,
          (time, date) => `GPZDA,${time},${date.toFormat('dd,MM,yyyy')},00,00`,
          (time) => `GPGGA,${time},5223.0,N,00943.0,E,1,09,0.9,84.0,M,46.0,M,,`,
          (time) => `GAGNS,${time},5223.0,N,00943.0,E,AN,09,0.9,84.0,46.0,,`,
          (time) => `GLGLL,5223.0,N,00943.0,E,${time},A,A`,
          (time) => `GNGST,${time},1.0,1.0,1.0,45.0,1.0,1.0,2.0`,
          (time) => `GNGBS,${time},1.0,1.0,2.0,05,0.5,-1.0,1.0`,
          (time) => `GNGRS,${time},1,0.1,-0.2,,,,,,,,,,`,
        ];
        for (const form of forms) {
          const before = sentence(body(epochS, form), '');
          expect(shifted(before, shiftS)).toBe(sentence(body(epochS + shiftS, form), ''));
        }
      }),
    );
  });

  it('there and back gives every sentence again, byte for byte', () => {
    fc.assert(
      fc.property(times, ({ ms: epochS, shiftS, decimals }) => {
        const time = DateTime.fromSeconds(epochS, { zone: 'utc' });
        const before = epochText(time.toFormat('HHmmss') + decimals, time.toFormat('ddMMyy')).split(
          '\r\n',
        )[0] as string;
        expect(shifted(shifted(before, shiftS), -shiftS)).toBe(before);
      }),
    );
  });

  it.each([
    ['the last second of a year', 'GNRMC,235959.50,A,,,,,,,311217,,,A', 1, 'GNRMC,000000.50,A,,,,,,,010118,,,A'],
    ['a leap day', 'GPZDA,000000,01,03,2024,00,00', -1, 'GPZDA,235959,29,02,2024,00,00'],
    ['a century of two digits', 'GPRMC,120000,A,,,,,,,010199,,,A', 366 * DAY_S, 'GPRMC,120000,A,,,,,,,020100,,,A'],
    ['a week rollover', 'GPRMC,120000,A,,,,,,,060419,,,A', -1024 * WEEK_S, 'GPRMC,120000,A,,,,,,,210899,,,A'],
    ['a day of one digit', 'GPZDA,120000,9,3,2024,00,00', DAY_S, 'GPZDA,120000,10,3,2024,00,00'],
    ['a date beside a blank time', 'GPRMC,,V,,,,,,,180222,,,N', DAY_S, 'GPRMC,,V,,,,,,,190222,,,N'],
    [
      'second 60, moved by whole days',
      'GPRMC,235960.25,A,,,,,,,311216,,,A',
      DAY_S,
      'GPRMC,235960.25,A,,,,,,,010117,,,A',
    ],
    ['second 60, moved by an hour', 'GPRMC,235960.25,A,,,,,,,311216,,,A', 3600, 'GPRMC,010000.25,A,,,,,,,010117,,,A'],
    ['a zone, which stays', 'GPZDA,233000,31,12,2024,01,30', 3600, 'GPZDA,003000,01,01,2025,01,30'],
  ])('of %s', (_, before, shiftS, after) => {
    expect(shifted(sentence(before, ''), shiftS)).toBe(sentence(after, ''));
  });

  it('turns a date beside a blank time with the time that was told last', () => {
    const shifter = new SentenceShifter(3600, null);
    shifter.shift(sentence('GPGGA,233000,,,,,0,,,,,,,,', ''));
    expect(shifter.shift(sentence('GPRMC,,V,,,,,,,180222,,,N', ''))).toBe(sentence('GPRMC,,V,,,,,,,190222,,,N', ''));
    // Before any was told, with the first one that there will be.
    const early = new SentenceShifter(3600, 84_600_000);
    expect(early.shift(sentence('GPRMC,,V,,,,,,,180222,,,N', ''))).toBe(sentence('GPRMC,,V,,,,,,,190222,,,N', ''));
  });

  it.each([
    'GPGSA,A,3,05,07,,,,,,,,,,,1.0,0.7,0.7',
    'PXYZ,120000,A,180222',
    'PGRMC,120000,A,180222,,,,,,180222',
    'GPTXT,01,01,02,120000',
    'GPGGA,,,,,,0,,,,,,,,',
    'GPGGA,126000,,,,,0,,,,,,,,',
    'GPGGA,1200,,,,,0,,,,,,,,',
    'GPRMC,,V,,,,,,,310222,,,N',
    'GPRMC,,V,,,,,,,1802,,,N',
  ])('leaves alone what tells no time, or none that can be read: %s', (body) => {
    expect(shifted(sentence(body, ''), 3600)).toBe(sentence(body, ''));
  });

  it('makes the checksum anew in the case that it had, or that the stream has', () => {
    const lower = sentence('GPGGA,120009,,,,,0,,,,,,,,', '').replace('*6C', '*6c');
    expect(shifted(lower, 10)).toBe(sentence('GPGGA,120019,,,,,0,,,,,,,,', '').replace('*6D', '*6d'));
    // 65 has no letter; 6C gets one.
    const without = sentence('GPGGA,120000,,,,,0,,,,,,,,', '');
    expect(without.slice(-3)).toBe('*65');
    expect(shifted(without, 9).slice(-3)).toBe('*6C');
    const shifter = new SentenceShifter(9, null);
    shifter.shift(lower);
    expect(shifter.shift(without).slice(-3)).toBe('*6c');
  });

  it('keeps a wrong checksum wrong, by the same bits', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 255 }), fc.integer({ min: 1, max: DAY_S }), (bits, shiftS) => {
        const right = sentence('GPGGA,120000.00,,,,,0,,,,,,,,', '');
        const wrong = (text: string) => {
          const sum = Number.parseInt(text.slice(-2), 16) ^ bits;
          return text.slice(0, -2) + sum.toString(16).toUpperCase().padStart(2, '0');
        };
        expect(shifted(wrong(right), shiftS)).toBe(wrong(shifted(right, shiftS)));
      }),
    );
  });

  it('leaves a checksum that is missing or cut as it is', () => {
    expect(shifted('$GPGGA,120000,,,', 60)).toBe('$GPGGA,120100,,,');
    expect(shifted('$GPGGA,120000,,,*5', 60)).toBe('$GPGGA,120100,,,*5');
    expect(shifted('$GPGGA,120000,,,*ZZ', 60)).toBe('$GPGGA,120100,,,*ZZ');
  });
});

describe('what times are shifted by', () => {
  it.each([
    ['now', { kind: 'now' }],
    ['+1024 weeks', { kind: 'by', shiftS: 1024 * WEEK_S }],
    ['-7 d', { kind: 'by', shiftS: -WEEK_S }],
    ['1 week', { kind: 'by', shiftS: WEEK_S }],
    ['90 min', { kind: 'by', shiftS: 5400 }],
    ['0.5 weeks', { kind: 'by', shiftS: WEEK_S / 2 }],
    ['2027-04-01', { kind: 'to-day', dayNumber: Date.UTC(2027, 3, 1) / 86_400_000 }],
    ['2027-04-01T12:30:00Z', { kind: 'to', utcMs: Date.UTC(2027, 3, 1, 12, 30) }],
  ])('%s', (text, shift) => {
    expect(parseShiftTime(text)).toEqual(shift);
  });

  it.each(['tomorrow', '3', '0.5 s', '100 km', '2027-02-30', '2027-04-01T12:30', '300 years', '99999999 weeks', ''])(
    'is not %s',
    (text) => {
      expect(() => parseShiftTime(text)).toThrow(/^replay\.shift: shift-time: expected a time in UTC such as /);
    },
  );
});

describe('a recording whose times are moved', () => {
  const cold = sentence('GPRMC,,V,,,,,,,,,,N');
  const log = latin1(cold + cold + epochText('235958.50') + epochText('235959.50') + epochText('000000.50', '190222'));

  it('begins now, its first dated epoch comes to a time or day, and its own time line goes with it', async () => {
    const firstOf = async (shiftTime?: string) => {
      const { journal } = await replay(log, shiftTime === undefined ? {} : { shiftTime });
      const text = recordsOf(journal, 'sentence').map((line) => line.text as string)[2] as string;
      const fields = fieldsOf(text);
      const run = journal[0] as unknown as { startUtc: string; recording: { shiftS: number } };
      return [fields[1], fields[9], run.startUtc, recordsOf(journal, 'epoch').at(-1)?.utc];
    };
    const as = (...all: readonly string[]) => all;
    const recorded = ['235958.50', '180222', '2022-02-18T23:59:56.500Z', '2022-02-19T00:00:00.500Z'];
    expect(await firstOf()).toEqual(recorded);
    expect(await firstOf('2031-12-31')).toEqual(
      as('235958.50', '311231', '2031-12-31T23:59:56.500Z', '2032-01-01T00:00:00.500Z'),
    );
    expect(await firstOf('2031-12-31T10:00:00Z')).toEqual(
      as('100000.50', '311231', '2031-12-31T09:59:58.500Z', '2031-12-31T10:00:02.500Z'),
    );
    // Tick 0 is 2026-05-04T03:02:01Z; the half second stays.
    expect(await firstOf('now')).toEqual(
      as('030203.50', '040526', '2026-05-04T03:02:01.500Z', '2026-05-04T03:02:05.500Z'),
    );
    expect(await firstOf('-1 s')).toEqual(
      as('235957.50', '180222', '2022-02-18T23:59:55.500Z', '2022-02-18T23:59:59.500Z'),
    );
  });

  it('has in its journal what the shifted sentences say', async () => {
    const { journal, steps } = await replay(log, { shiftTime: '+1024 weeks' });
    expect((journal[0] as { recording?: unknown }).recording).toMatchObject({
      shiftS: 1024 * WEEK_S,
      timing: 'stamps',
    });
    const utcs = steps.map(({ epoch }) => epoch.report.utc);
    expect(utcs[2]).toMatchObject({ year: 2041, month: 10, day: 4, hour: 23, minute: 59, second: 58.5 });
    expect(utcs[4]).toMatchObject({ year: 2041, month: 10, day: 5, hour: 0, minute: 0, second: 0.5 });
  });

  it.each([
    ['a recording without a date', latin1(sentence('GPGGA,120000,,,,,0,,,,,,,,')), '2027-04-01', 'replay.no-date'],
    ['a recording without a date', latin1(sentence('GPGGA,120000,,,,,0,,,,,,,,')), 'now', 'replay.no-date'],
    ['years that two digits cannot tell', log, '+4000 weeks', 'replay.shift'],
    ['years that two digits cannot tell', log, '2080-01-01', 'replay.shift'],
  ])('is refused for %s', async (_, bytes, shiftTime, code) => {
    await expect(replay(bytes, { shiftTime })).rejects.toMatchObject({ code });
  });

  it('moves times without a date by a duration', async () => {
    const { bytes } = await replay(latin1(sentence('GPGGA,235900,,,,,0,,,,,,,,')), { shiftTime: '2 min' });
    expect(bytes.toString('latin1')).toBe(sentence('GPGGA,000100,,,,,0,,,,,,,,'));
  });

  for (const file of [COLD_TO_FIX, AIRBORNE]) {
    it.skipIf(!hasData(file))(
      `${file}: each sentence moved as JavaScript’s own calendar says (needs the file)`,
      async () => {
        const text = dataText(file);
        const shiftS = 1024 * WEEK_S + 45_296;
        const { bytes } = await replay(latin1(text), { shiftTime: `${shiftS} s` });
        const [before, after] = [text.split('\r\n'), bytes.toString('latin1').split('\r\n')];
        expect(after).toHaveLength(before.length);
        let moved = 0;
        for (const [index, line] of before.entries()) {
          const other = after[index] as string;
          if (line === '') continue;
          expect(hasGoodChecksum(other), other).toBe(true);
          const [from, to] = [fieldsOf(line), fieldsOf(other)];
          const kind = from[0]?.slice(2);
          const time = from[1] ?? '';
          if ((kind !== 'RMC' && kind !== 'GGA') || time === '') {
            expect(other).toBe(line);
            continue;
          }
          moved++;
          const date = from[9] as string;
          const day =
            kind === 'RMC'
              ? Date.UTC(2000 + Number(date.slice(4)), Number(date.slice(2, 4)) - 1, Number(date.slice(0, 2)))
              : 0;
          const ofDayS = Number(time.slice(0, 2)) * 3600 + Number(time.slice(2, 4)) * 60 + Number(time.slice(4, 6));
          const iso = new Date(day + (ofDayS + shiftS) * 1000).toISOString();
          expect(to[1]).toBe(iso.slice(11, 19).replaceAll(':', '') + time.slice(6));
          if (kind === 'RMC') expect(to[9]).toBe(iso.slice(8, 10) + iso.slice(5, 7) + iso.slice(2, 4));
          const others = (fields: string[]) =>
            fields.filter((_, place) => place !== 1 && (kind !== 'RMC' || place !== 9));
          expect(others(to)).toEqual(others(from));
        }
        expect(moved).toBeGreaterThan(50);
      },
    );
  }
});
