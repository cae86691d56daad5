import { describe, expect, it } from 'vitest';
import { writeBanner, writeSentences } from '../../../src/emit/sentences/registry.js';
import type { SentenceName, SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';
import { bodyOf, FIX, NOTHING, inView as satellite, style, TIME_AND_DATE, TIME_ONLY } from './helper.js';

const OLD = style({ version: '2.3' });
const NEW = style();

function bodies(report: Report, name: SentenceName, how: SentenceStyle = NEW): string[] {
  return writeSentences(report, how, [name]).map(bodyOf);
}

// The order of the fields is that of the NMEA 0183 standard; what a version adds stands last.
const WITH_A_FIX: [SentenceName, string, string][] = [
  [
    'GGA',
    'GPGGA,064007.50,3330.0000,S,07015.0000,W,1,04,0.93,545.4,M,-31.3,M,,',
    'GPGGA,064007.50,3330.0000,S,07015.0000,W,1,04,0.93,545.4,M,-31.3,M,,',
  ],
  [
    'RMC',
    'GPRMC,064007.50,A,3330.0000,S,07015.0000,W,10.0,247.5,120526,,,A',
    'GPRMC,064007.50,A,3330.0000,S,07015.0000,W,10.0,247.5,120526,,,A,V',
  ],
  ['GLL', 'GPGLL,3330.0000,S,07015.0000,W,064007.50,A,A', 'GPGLL,3330.0000,S,07015.0000,W,064007.50,A,A'],
  ['VTG', 'GPVTG,247.5,T,,M,10.0,N,18.5,K,A', 'GPVTG,247.5,T,,M,10.0,N,18.5,K,A'],
  ['GSA', 'GPGSA,A,3,02,05,12,25,,,,,,,,,1.75,0.93,1.50', 'GPGSA,A,3,02,05,12,25,,,,,,,,,1.75,0.93,1.50,1'],
  ['ZDA', 'GPZDA,064007.50,12,05,2026,00,00', 'GPZDA,064007.50,12,05,2026,00,00'],
];

const WITHOUT_ANYTHING: [SentenceName, string, string][] = [
  ['GGA', 'GPGGA,,,,,,0,00,99.99,,,,,,', 'GPGGA,,,,,,0,00,99.99,,,,,,'],
  ['RMC', 'GPRMC,,V,,,,,,,,,,N', 'GPRMC,,V,,,,,,,,,,N,V'],
  ['GLL', 'GPGLL,,,,,,V,N', 'GPGLL,,,,,,V,N'],
  ['VTG', 'GPVTG,,T,,M,,N,,K,N', 'GPVTG,,T,,M,,N,,K,N'],
  ['GSA', 'GPGSA,A,1,,,,,,,,,,,,,99.99,99.99,99.99', 'GPGSA,A,1,,,,,,,,,,,,,99.99,99.99,99.99,1'],
  ['GSV', 'GPGSV,1,1,00', 'GPGSV,1,1,00,1'],
  ['ZDA', 'GPZDA,,,,,,', 'GPZDA,,,,,,'],
];

describe('sentences', () => {
  it.each(WITH_A_FIX)('%s with a fix, in version 2.3 and in 4.11', (name, old, recent) => {
    expect(bodies(FIX, name, OLD)).toEqual([old]);
    expect(bodies(FIX, name, NEW)).toEqual([recent]);
  });

  it.each(WITHOUT_ANYTHING)('%s with nothing known, in version 2.3 and in 4.11', (name, old, recent) => {
    expect(bodies(NOTHING, name, OLD)).toEqual([old]);
    expect(bodies(NOTHING, name, NEW)).toEqual([recent]);
  });

  it('give time and date as soon as they are known, and the time alone before the date', () => {
    expect(bodies(TIME_AND_DATE, 'RMC')).toEqual(['GPRMC,064007.50,V,,,,,,,120526,,,N,V']);
    expect(bodies(TIME_ONLY, 'RMC')).toEqual(['GPRMC,064007.50,V,,,,,,,,,,N,V']);
    expect(bodies(TIME_AND_DATE, 'GGA')).toEqual(['GPGGA,064007.50,,,,,0,00,99.99,,,,,,']);
    expect(bodies(TIME_AND_DATE, 'GLL')).toEqual(['GPGLL,,,,,064007.50,V,N']);
    expect(bodies(TIME_AND_DATE, 'ZDA')).toEqual(['GPZDA,064007.50,12,05,2026,00,00']);
    expect(bodies(TIME_ONLY, 'ZDA')).toEqual(['GPZDA,064007.50,,,,,']);
  });

  it('leave the course blank at rest and keep the speed', () => {
    const atRest = { ...FIX, courseDeg: null, speedMps: 0.02 };
    expect(bodies(atRest, 'RMC')).toEqual(['GPRMC,064007.50,A,3330.0000,S,07015.0000,W,0.0,,120526,,,A,V']);
    expect(bodies(atRest, 'VTG')).toEqual(['GPVTG,,T,,M,0.0,N,0.1,K,A']);
  });

  it('carry a time that rounds over midnight into the date of the same sentence', () => {
    const late = { ...FIX, utc: { year: 2026, month: 12, day: 31, hour: 23, minute: 59, second: 59.997 } };
    expect(bodies(late, 'RMC')[0]).toContain('GPRMC,000000.00,A,');
    expect(bodies(late, 'RMC')[0]).toContain(',010127,');
    expect(bodies(late, 'ZDA')).toEqual(['GPZDA,000000.00,01,01,2027,00,00']);
  });

  it('have as many digits as the module', () => {
    const many = style({
      minuteDecimals: 7,
      secondDecimals: 3,
      altitudeDecimals: 3,
      speedDecimals: 3,
      courseDecimals: 3,
      longLines: true,
    });
    expect(bodies(FIX, 'GGA', many)).toEqual([
      'GPGGA,064007.500,3330.0000000,S,07015.0000000,W,1,04,0.93,545.400,M,-31.250,M,,',
    ]);
    const few = style({
      minuteDecimals: 2,
      secondDecimals: 0,
      altitudeDecimals: 0,
      speedDecimals: 0,
      courseDecimals: 0,
    });
    expect(bodies(FIX, 'GGA', few)).toEqual(['GPGGA,064008,3330.00,S,07015.00,W,1,04,0.93,545,M,-31,M,,']);
    expect(bodies(FIX, 'VTG', few)).toEqual(['GPVTG,248,T,,M,10,N,19,K,A']);
  });

  it('have the honest flags where the module has them', () => {
    const honest: Report = { ...FIX, quality: 8, mode: 'S' };
    expect(bodies(honest, 'GGA')[0]).toContain(',W,8,04,');
    expect(bodies(honest, 'RMC')[0]?.endsWith(',S,V')).toBe(true);
    expect(bodies(honest, 'GLL')[0]?.endsWith(',A,S')).toBe(true);
    expect(bodies(honest, 'VTG')[0]?.endsWith(',K,S')).toBe(true);
  });

  it('come in the order asked for, under the talker of the module', () => {
    const sent = writeSentences(FIX, style({ talker: 'GN' }), ['ZDA', 'GGA', 'RMC']);
    expect(sent.map((sentence) => sentence.slice(0, 6))).toEqual(['$GNZDA', '$GNGGA', '$GNRMC']);
  });

  it('number the lines of the banner', () => {
    expect(writeBanner(['FIRST', 'SECOND'], NEW).map(bodyOf)).toEqual([
      'GPTXT,02,01,02,FIRST',
      'GPTXT,02,02,02,SECOND',
    ]);
  });
});

describe('GSA', () => {
  const used = (count: number) => Array.from({ length: count }, (_, i) => `G${String(i + 1).padStart(2, '0')}`);

  it('shows the fix as 1, 2, 3', () => {
    expect(bodies({ ...FIX, fix: '2d', vdop: null }, 'GSA')).toEqual([
      'GPGSA,A,2,02,05,12,25,,,,,,,,,1.75,0.93,99.99,1',
    ]);
  });

  it('has twelve places whatever is used, and one more sentence for each further twelve; GGA counts all', () => {
    for (let count = 0; count <= 40; count++) {
      const report = { ...FIX, used: used(count), residualsM: used(count).map(() => 0) };
      const sent = bodies(report, 'GSA').map((body) => body.split(','));
      expect(sent).toHaveLength(Math.max(1, Math.ceil(count / 12)));
      for (const fields of sent) expect(fields).toHaveLength(19);
      const numbers = sent.flatMap((fields) => fields.slice(3, 15).filter((field) => field !== ''));
      expect(numbers).toEqual(used(count).map((id) => id.slice(1)));
      expect((bodies(report, 'GGA')[0] as string).split(',')[7]).toBe(String(count).padStart(2, '0'));
      const capped = bodies(report, 'GGA', style({ capUsed: true }))[0] as string;
      expect(capped.split(',')[7]).toBe(String(Math.min(12, count)).padStart(2, '0'));
    }
  });

  it.each([
    [2, 120, '99.99'],
    [2, 99.994, '99.99'],
    [2, 99.996, '99.99'],
    [2, 99.9, '99.90'],
    [1, 120, '99.9'],
    [1, 99.97, '99.9'],
    [1, 99.94, '99.9'],
    [1, 0.96, '1.0'],
  ])(
    'with %i decimals shows a dilution of %f as %s: never three digits before the point',
    (dopDecimals, pdop, text) => {
      const fields = (bodies({ ...FIX, pdop }, 'GSA', style({ dopDecimals }))[0] as string).split(',');
      expect(fields[15]).toBe(text);
    },
  );

  it('shows what the module has for an unknown dilution', () => {
    expect(bodies(NOTHING, 'GSA', style({ unknownDop: '' }))).toEqual(['GPGSA,A,1,,,,,,,,,,,,,,,,1']);
    expect(bodies(NOTHING, 'GGA', style({ unknownDop: '' }))).toEqual(['GPGGA,,,,,,0,00,,,,,,,']);
  });
});

describe('GSV', () => {
  it('rounds to whole degrees and decibels; azimuth 360 is 0; what is not known is blank', () => {
    expect(bodies(FIX, 'GSV')).toEqual([
      'GPGSV,2,1,05,02,41,083,46,05,17,000,41,12,90,000,10,25,04,344,,1',
      'GPGSV,2,2,05,31,,,33,1',
    ]);
    expect(bodies(FIX, 'GSV', OLD)).toEqual([
      'GPGSV,2,1,05,02,41,083,46,05,17,000,41,12,90,000,10,25,04,344,',
      'GPGSV,2,2,05,31,,,33',
    ]);
  });

  it('groups 0 to 40 satellites by four, each once and in order, with no padded places', () => {
    for (let count = 0; count <= 40; count++) {
      const inView = Array.from({ length: count }, (_, i) =>
        satellite(`G${String((i % 32) + 1).padStart(2, '0')}`, i * 9, i * 2, { L1: i + 10 }),
      );
      const groups = bodies({ ...FIX, inView }, 'GSV').map((body) => body.split(','));
      expect(groups).toHaveLength(Math.max(1, Math.ceil(count / 4)));
      const listed: string[] = [];
      for (const [i, [name, total, number, seen, ...rest]] of groups.entries()) {
        expect([name, total, number]).toEqual(['GPGSV', String(groups.length), String(i + 1)]);
        expect(seen).toBe(String(count).padStart(2, '0'));
        expect(rest.pop()).toBe('1');
        expect(rest).toHaveLength(4 * Math.min(4, count - 4 * i));
        for (let k = 0; k < rest.length; k += 4) listed.push(rest.slice(k, k + 4).join());
      }
      expect(listed).toEqual(
        inView.map(({ id, azimuthDeg, elevationDeg, cn0DbHz }) => {
          const azimuth = String((azimuthDeg as number) % 360).padStart(3, '0');
          return [id.slice(1), String(elevationDeg).padStart(2, '0'), azimuth, cn0DbHz].join();
        }),
      );
    }
  });

  it('keeps C/N0 within two digits', () => {
    const inView = [satellite('G01', 1, 2, { L1: 123 }), satellite('G02', 1, 2, { L1: -5 })];
    expect(bodies({ ...FIX, inView }, 'GSV')).toEqual(['GPGSV,1,1,02,01,02,001,99,02,02,001,00,1']);
  });
});
