import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { degreesMinutes, timeAndDate } from '../../../src/emit/sentences/fields.js';
import { writeSentences } from '../../../src/emit/sentences/registry.js';
import type { SentenceName, SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';
import { ALL, bodyOf, FIX, modes, NOTHING, style, TIME_AND_DATE, TIME_ONLY } from './helper.js';

const RUNS = { numRuns: 1000 };
/** What a double near 180 deg in minutes of arc is wrong by in a few operations. */
const ARITHMETIC = 1e-10;

function body(report: Report, name: SentenceName, how: Partial<SentenceStyle> = {}): string {
  return writeSentences(report, style(how), [name]).map(bodyOf).join(' ');
}

describe('decimals of minutes', () => {
  it.each([
    [0, '3330,S,07015,W'],
    [1, '3330.0,S,07015.0,W'],
    [8, '3330.00000000,S,07015.00000000,W'],
  ])('are %i: %s', (minuteDecimals, position) => {
    expect(body(FIX, 'GLL', { minuteDecimals })).toBe(`GPGLL,${position},064007.50,A,A`);
  });
});

describe('without leading zeros', () => {
  it.each([
    [11 + 31 / 60, 2, '1131.00,E'],
    [-(11 + 31 / 60), 0, '1131,W'],
    [8.2, 4, '812.0000,E'],
    [5 / 60, 3, '5.000,E'],
    [0, 2, '0.00,E'],
    [0, 0, '0,E'],
    [122 + 3.5 / 60, 1, '12203.5,E'],
  ])('%f deg with %i decimals is %s', (value, decimals, text) => {
    expect(degreesMinutes(value, 3, decimals, 'E', 'W', false)).toBe(text);
  });

  it('what is printed is the number that it is with them', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -180, max: 180, noNaN: true }),
        fc.integer({ min: 0, max: 8 }),
        fc.boolean(),
        (longitudeDeg, decimals, carry) => {
          const read = (leadingZeros: boolean) =>
            degreesMinutes(longitudeDeg, 3, decimals, 'E', 'W', leadingZeros, carry).split(',');
          const [plain, side] = read(false);
          expect(plain).toMatch(/^(0|[1-9]\d*)(\.\d+)?$/);
          expect([Number(plain), side]).toEqual([Number(read(true)[0]), read(true)[1]]);
        },
      ),
      RUNS,
    );
  });

  it('latitude and longitude both, in every sentence with a place', () => {
    const place = { ...FIX, latitudeDeg: 5.25, longitudeDeg: 11 + 31 / 60 };
    for (const name of ['GGA', 'GLL', 'GNS', 'RMC'] as const) {
      expect(body(place, name, { leadingZeros: false })).toContain(',515.0000,N,1131.0000,E,');
    }
  });
});

describe('without carry', () => {
  it.each([
    [47 + 59.99995 / 60, 4, '04760.0000,E'],
    [47 + 59.99994 / 60, 4, '04759.9999,E'],
    [59.99999999 / 60, 4, '00060.0000,E'],
    [-(47 + 59.6 / 60), 0, '04760,W'],
    [48, 4, '04800.0000,E'],
    [-180, 4, '18000.0000,W'],
    [-1e-9, 4, '00000.0000,E'],
  ])('%f deg with %i decimals is %s', (value, decimals, text) => {
    expect(degreesMinutes(value, 3, decimals, 'E', 'W', true, false)).toBe(text);
  });

  it('an angle is still what was given, to the printed digit, for a reader that takes 60 minutes', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -90, max: 90, noNaN: true }),
        fc.integer({ min: 0, max: 8 }),
        (latitudeDeg, digits) => {
          const [value, side] = degreesMinutes(latitudeDeg, 2, digits, 'N', 'S', true, false).split(',');
          const sizeDeg = Number(value?.slice(0, 2)) + Number(value?.slice(2)) / 60;
          const half = (0.5 * 10 ** -digits) / 60 + ARITHMETIC;
          expect(Math.abs((side === 'S' ? -sizeDeg : sizeDeg) - latitudeDeg)).toBeLessThanOrEqual(half);
        },
      ),
      RUNS,
    );
  });

  it('seconds are rounded up to 60 and minute, hour and date stay; what does not round up is as ever', () => {
    const utc = { year: 2026, month: 12, day: 31, hour: 23, minute: 59, second: 59.9996 };
    const shown = (second: number, decimals: number) => timeAndDate({ ...utc, second }, decimals, 60, false);
    expect(shown(59.9996, 3)).toEqual({ time: '235960.000', day: 31, month: 12, year: 2026 });
    expect(shown(59.6, 0).time).toBe('235960');
    expect(shown(59.4, 0).time).toBe('235959');
    expect(timeAndDate(utc, 3, 60)).toEqual({ time: '000000.000', day: 1, month: 1, year: 2027 });
    const report = { ...FIX, utc, latitudeDeg: 33 + 59.99999 / 60 };
    expect(body(report, 'GLL', { carry: false })).toMatch(/^GPGLL,3360\.0000,N,07015\.0000,W,235960\.00,A,A$/);
    expect(body(report, 'ZDA', { carry: false })).toBe('GPZDA,235960.00,31,12,2026,00,00');
  });
});

describe('heights', () => {
  const ending = (report: Report) => [
    body(report, 'GGA').split(',').slice(9, 13).join(),
    body(report, 'GNS').split(',').slice(9, 11).join(),
  ];

  it.each<[string, Partial<Report>, string, string]>([
    ['both are told', {}, '545.4,M,-31.3,M', '545.4,-31.3'],
    ['the separation is 0', { geoidSeparationM: 0 }, '545.4,M,0.0,M', '545.4,0.0'],
    ['no separation is told', { geoidSeparationM: null }, '545.4,M,,', '545.4,'],
    ['no altitude is told', { altitudeMslM: null }, ',,-31.3,M', ',-31.3'],
    ['neither is told', { altitudeMslM: null, geoidSeparationM: null }, ',,,', ','],
  ])('where %s', (_, more, inGga, inGns) => {
    expect(ending({ ...FIX, ...more })).toEqual([inGga, inGns]);
  });
});

describe('ZDA’s local zone', () => {
  it.each([
    [FIX, '00,00', 'GPZDA,064007.50,12,05,2026,00,00'],
    [FIX, '-05,00', 'GPZDA,064007.50,12,05,2026,-05,00'],
    [FIX, ',', 'GPZDA,064007.50,12,05,2026,,'],
    [TIME_AND_DATE, '13,00', 'GPZDA,064007.50,12,05,2026,13,00'],
    [TIME_ONLY, '-05,00', 'GPZDA,064007.50,,,,,'],
    [NOTHING, '-05,00', 'GPZDA,,,,,,'],
  ])('is as set beside a date, which stays in UTC', (report, zdaZone, text) => {
    expect(body(report, 'ZDA', { zdaZone })).toBe(text);
  });
});

describe('VTG at rest', () => {
  const REST = { ...FIX, courseDeg: null, speedMps: 0.02 };

  it('tells the speed, or nothing where the module is so', () => {
    expect(body(REST, 'VTG')).toBe('GPVTG,,T,,M,0.0,N,0.1,K,A');
    expect(body(REST, 'VTG', { vtgAtRest: 'blank' })).toBe('GPVTG,,T,,M,,N,,K,A');
    expect(body(REST, 'VTG', { vtgAtRest: 'blank', version: '2.1' })).toBe('GPVTG,,T,,M,,N,,K');
  });

  it('on the way nothing changes', () => {
    expect(body(ALL, 'VTG', { vtgAtRest: 'blank' })).toBe(body(ALL, 'VTG'));
    expect(body(REST, 'RMC', { vtgAtRest: 'blank' })).toBe(body(REST, 'RMC'));
  });
});

describe('GSV with none in view', () => {
  const two = { ...NOTHING, systemModes: modes('N', 'gps', 'glonass') };

  it('says so, or does not come', () => {
    expect(body(two, 'GSV')).toBe('GPGSV,1,1,00,1 GLGSV,1,1,00,1');
    expect(body(two, 'GSV', { gsvWhenNone: 'nothing' })).toBe('');
  });

  it('a system with satellites in view has its own in any case', () => {
    const one = { ...two, inView: FIX.inView.slice(0, 1) };
    expect(body(one, 'GSV', { gsvWhenNone: 'nothing' })).toBe('GPGSV,1,1,01,02,41,083,46,1');
  });
});

describe('BeiDou’s signal in L2', () => {
  const groups = (how: Partial<SentenceStyle>) =>
    writeSentences(ALL, style({ talker: 'auto', ...how }), ['GSV'])
      .filter((text) => text.startsWith('$GB'))
      .map(bodyOf);

  it('is listed as B3I, or as B2I with its id in hexadecimal or decimal digits (NMEA 0183 4.11, second hand)', () => {
    const [first, , b3] = groups({});
    expect(b3).toBe('GBGSV,1,1,01,46,45,250,42,8');
    expect(groups({ beidouL2: 'B2I' })).toEqual([first, groups({})[1], 'GBGSV,1,1,01,46,45,250,42,B']);
    expect(groups({ beidouL2: 'B2I', signalIds: 'decimal' })[2]).toBe('GBGSV,1,1,01,46,45,250,42,11');
  });

  it('changes no other system’s id 8', () => {
    const gps = (how: Partial<SentenceStyle>) =>
      writeSentences(ALL, style(how), ['GSV']).filter((text) => text.startsWith('$GP'));
    expect(gps({ beidouL2: 'B2I' })).toEqual(gps({}));
    expect(gps({}).some((text) => text.includes(',8*'))).toBe(true);
  });
});
