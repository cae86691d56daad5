import { describe, expect, it } from 'vitest';
import { frame } from '../../../src/emit/sentences/checksum.js';
import { readAll, reading } from './helper.js';

const NMEA = 'format: nmea';
const lines = (...bodies: string[]) => bodies.map((body) => `${frame(body)}\r\n`).join('');

describe('sentences as reports', () => {
  it('tell what each tells by itself, at once', () => {
    const { reader, reports } = reading(NMEA);
    reader.push(lines('GPRMC,093001.00,A,6325.8300,N,01023.7060,E,10.0,90.0,180222,,,A'));
    expect(reports).toHaveLength(1);
    expect(reports[0]).toMatchObject({ utcMs: Date.UTC(2022, 1, 18, 9, 30, 1), hasFix: true, courseDeg: 90 });
    expect(reports[0]?.latitudeDeg).toBeCloseTo(63.4305, 9);
    expect(reports[0]?.longitudeDeg).toBeCloseTo(10.3951, 9);
    // A knot is 1852/3600 m/s (NIST SP 811, appendix B).
    expect(reports[0]?.speedMps).toBeCloseTo(5.1444444, 6);
    reader.push(lines('GPGGA,093001.00,6325.8300,N,01023.7060,E,1,07,1.0,12.5,M,40.0,M,,'));
    expect(reports[1]).toMatchObject({ used: 7, altitudeMslM: 12.5, hasFix: true, utcMs: reports[0]?.utcMs });
  });

  it('are no fix by status V, quality 0 and GSA', () => {
    const told = readAll(
      NMEA,
      lines('GPRMC,093001.00,V,,,,,,,180222,,,N', 'GPGGA,093001.00,,,,,0,00,99.99,,,,,,', 'GPGSA,A,1,,,,,,,,,,,,,,,'),
    );
    expect(told.reports.map((each) => each.hasFix)).toEqual([false, false, false]);
  });

  it('have a fix by GSA where one system of those that stand together has it', () => {
    const none = 'GNGSA,A,1,,,,,,,,,,,,,,,,2';
    const fix = 'GNGSA,A,3,05,07,,,,,,,,,,,1.4,1.0,1.0,1';
    const rmc = 'GPRMC,093001.00,A,6325.8300,N,01023.7060,E,10.0,90.0,180222,,,A';
    const fixes = (...bodies: string[]) => readAll(NMEA, lines(...bodies)).reports.map((each) => each.hasFix);
    expect(fixes(rmc, fix, none, rmc, none, fix, rmc)).toEqual([true, true, true]);
    expect(fixes(rmc, none, none, rmc)).toEqual([true, false, true]);
    expect(fixes(none, rmc, fix)).toEqual([false, true]);
  });

  it('tell a date only where the sentence has one', () => {
    const told = readAll(
      NMEA,
      lines(
        'GPGGA,093001.00,,,,,0,00,,,,,,,',
        'GPRMC,093001.00,V,,,,,,,180222,,,N',
        'GPZDA,093001.00,18,02,2022,00,00',
      ),
    );
    expect(told.reports.map(({ isDateTold }) => isDateTold)).toEqual([false, true, true]);
    expect(new Set(told.reports.map(({ utcMs }) => utcMs)).size).toBe(1);
  });

  it('have a time of day that is taken for the date nearest to now', () => {
    const before = readAll(NMEA, lines('GPGGA,235959.00,,,,,0,00,,,,,,,'), [], Date.UTC(2022, 1, 18, 0, 0, 1));
    expect(before.reports[0]?.utcMs).toBe(Date.UTC(2022, 1, 17, 23, 59, 59));
  });

  it('tell the satellites in view of all systems once their GSV are over', () => {
    const gsv = lines('GPGSV,1,1,01,05,50,090,40', 'GLGSV,1,1,02,65,50,090,40,66,50,090,40');
    const told = readAll(NMEA, gsv + lines('GPVTG,90.0,T,,M,10.0,N,18.5,K,A') + gsv);
    expect(told.reports.map((each) => each.inView)).toEqual([3, null, 3]);
  });

  it('with a wrong checksum are bad, and so is a fix without a place', () => {
    const told = readAll(
      NMEA,
      `$GPRMC,1*00\r\n$GPRMC,1*0\r\nhello\r\n${lines('GPRMC,093001.00,A,,,,,,,180222,,,A', 'GPTXT,01,01,02,HI')}`,
    );
    expect(told.bad.map((each) => each.why)).toEqual([
      'the checksum is 00, 56 would be right',
      'what stands after * is no checksum',
      'it says that there is a fix, without a place that can be read',
    ]);
    expect(told.others).toEqual(['hello', expect.stringContaining('HI')]);
  });
});
