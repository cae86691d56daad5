import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { writeSentences } from '../../../src/emit/sentences/registry.js';
import type { SentenceName, SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';
import { ALL, bodyOf, FIX, modes, NOTHING, style } from './helper.js';

/** What a double of these sizes is wrong by in a few operations. */
const ARITHMETIC = 1e-9;
const KNOT_MPS = 1852 / 3600;
const RUNS = { numRuns: 500 };

function bodies(report: Report, name: SentenceName, how: SentenceStyle = style({ talker: 'auto' })): string[] {
  return writeSentences(report, how, [name]).map(bodyOf);
}

const NOT_LIMITED = style({ talker: 'auto', longLines: true });

// The order of the fields is that of the NMEA 0183 field lists (second hand).
describe('with all there is', () => {
  it.each<[SentenceName, string[]]>([
    ['GGA', ['GNGGA,064007.50,3330.0000,S,07015.0000,W,2,09,0.93,545.4,M,-31.3,M,5,0120']],
    ['RMC', ['GNRMC,064007.50,A,3330.0000,S,07015.0000,W,10.0,247.5,120526,3.3,W,D,V']],
    ['VTG', ['GNVTG,247.5,T,250.8,M,10.0,N,18.5,K,D']],
    ['GNS', ['GNGNS,064007.50,3330.0000,S,07015.0000,W,DADANA,09,0.93,545.4,-31.3,,,V']],
    ['GST', ['GNGST,064007.50,2.3,3.2,1.2,78.9,1.5,3.1,5.5']],
    ['GBS', ['GNGBS,064007.50,1.5,3.1,5.5,36,0.125,-7.3,4.5,3,7']],
    ['DTM', ['GNDTM,W84,,0.0,N,0.0,E,0.0,W84']],
    ['HDT', ['GNHDT,240.0,T']],
    ['THS', ['GNTHS,240.0,A']],
    ['ROT', ['GNROT,-12.3,A']],
    // 10 kn on a course 7.5 deg to starboard of the heading.
    ['VBW', ['GNVBW,,,V,9.9,1.3,A,,V,,V']],
    [
      'GSA',
      [
        'GNGSA,A,3,02,05,,,,,,,,,,,1.75,0.93,1.50,1',
        'GNGSA,A,3,67,81,,,,,,,,,,,1.75,0.93,1.50,2',
        'GNGSA,A,3,11,36,,,,,,,,,,,1.75,0.93,1.50,3',
        'GNGSA,A,3,05,46,,,,,,,,,,,1.75,0.93,1.50,4',
        'GNGSA,A,3,,,,,,,,,,,,,1.75,0.93,1.50,5',
        'GNGSA,A,3,04,,,,,,,,,,,,1.75,0.93,1.50,6',
      ],
    ],
    [
      'GRS',
      [
        'GNGRS,064007.50,1,0.3,-1.5,,,,,,,,,,,1,1',
        'GNGRS,064007.50,1,3.8,0.0,,,,,,,,,,,2,1',
        'GNGRS,064007.50,1,12.3,-100,,,,,,,,,,,3,7',
        'GNGRS,064007.50,1,100,-999,,,,,,,,,,,4,1',
        'GNGRS,064007.50,1,,,,,,,,,,,,,5,1',
        'GNGRS,064007.50,1,0.0,,,,,,,,,,,,6,1',
      ],
    ],
    [
      'GSV',
      [
        'GPGSV,1,1,04,02,41,083,46,05,17,000,41,12,60,010,,33,20,180,37,1',
        'GPGSV,1,1,02,02,41,083,48,12,60,010,44,8',
        'GLGSV,1,1,02,67,30,012,40,81,11,120,31,1',
        'GLGSV,1,1,01,67,30,012,35,3',
        'GAGSV,1,1,02,11,70,200,44,36,33,300,39,7',
        'GAGSV,1,1,02,11,70,200,46,36,33,300,41,1',
        'GBGSV,1,1,02,05,25,150,38,46,45,250,43,1',
        'GBGSV,1,1,01,05,25,150,42,5',
        'GBGSV,1,1,01,46,45,250,42,8',
        'GQGSV,1,1,01,02,05,090,,1',
        'GIGSV,1,1,01,04,42,095,40,1',
      ],
    ],
  ])('%s says so', (name, expected) => {
    expect(bodies(ALL, name)).toEqual(expected);
  });

  it('GSV before 4.10 lists each satellite once, with its first signal', () => {
    expect(bodies(ALL, 'GSV', style({ version: '4.00' }))).toEqual([
      'GPGSV,1,1,04,02,41,083,46,05,17,000,41,12,60,010,44,33,20,180,37',
      'GLGSV,1,1,02,67,30,012,40,81,11,120,31',
      'GAGSV,1,1,02,11,70,200,44,36,33,300,39',
      'GBGSV,1,1,02,05,25,150,38,46,45,250,43',
      'GQGSV,1,1,01,02,05,090,',
      'GIGSV,1,1,01,04,42,095,40',
    ]);
  });

  it('version 2.1 has no modes', () => {
    const old = style({ version: '2.1' });
    expect(bodies(ALL, 'RMC', old)).toEqual(['GPRMC,064007.50,A,3330.0000,S,07015.0000,W,10.0,247.5,120526,3.3,W']);
    expect(bodies(ALL, 'GLL', old)).toEqual(['GPGLL,3330.0000,S,07015.0000,W,064007.50,A']);
    expect(bodies(ALL, 'VTG', old)).toEqual(['GPVTG,247.5,T,250.8,M,10.0,N,18.5,K']);
  });
});

describe('with nothing known', () => {
  it.each<[SentenceName, string]>([
    ['GNS', 'GPGNS,,,,,,NN,00,99.99,,,,,V'],
    ['GST', 'GPGST,,,,,,,,'],
    ['GBS', 'GPGBS,,,,,,,,,,'],
    ['GRS', 'GPGRS,,1,,,,,,,,,,,,,1,1'],
    ['DTM', 'GPDTM,W84,,0.0,N,0.0,E,0.0,W84'],
    ['HDT', 'GPHDT,,T'],
    ['THS', 'GPTHS,,V'],
    ['ROT', 'GPROT,,V'],
    ['VBW', 'GPVBW,,,V,,,V,,V,,V'],
  ])('%s is blank', (name, expected) => {
    expect(bodies(NOTHING, name)).toEqual([expected]);
  });

  it('each system that the receiver has is there with no satellite', () => {
    const report = { ...NOTHING, systemModes: modes('N', 'gps', 'glonass', 'galileo', 'sbas') };
    expect(bodies(report, 'GSV')).toEqual(['GPGSV,1,1,00,1', 'GLGSV,1,1,00,1', 'GAGSV,1,1,00,7']);
    expect(bodies(report, 'GSA').map((body) => body.slice(-1))).toEqual(['1', '2', '3']);
    expect(bodies(report, 'GNS')).toEqual(['GNGNS,,,,,,NNN,00,99.99,,,,,V']);
  });
});

describe('some of it', () => {
  it('GNS before 4.11 has no letter for QZSS and NavIC', () => {
    expect((bodies(ALL, 'GNS', style({ version: '4.10' }))[0] as string).split(',')[6]).toBe('DADA');
  });

  it('no variation is given by a module that has no model of it', () => {
    const without = style({ magneticVariation: false });
    expect(bodies(ALL, 'RMC', without)[0]).toContain(',120526,,,D,V');
    expect(bodies(ALL, 'VTG', without)[0]).toContain('VTG,247.5,T,,M,');
  });

  it('no magnetic course is given at rest', () => {
    expect(bodies({ ...ALL, courseDeg: null }, 'VTG')[0]).toContain('VTG,,T,,M,');
  });

  it('a first heading has no rate yet, and an estimated one says so', () => {
    const first: Report = { ...ALL, mode: 'E', heading: { headingDeg: 359.97, rateDegPerMin: null } };
    expect(bodies(first, 'ROT')).toEqual(['GNROT,,V']);
    expect(bodies(first, 'THS')).toEqual(['GNTHS,0.0,E']);
  });

  it('a height that is held has no deviation', () => {
    const deviation = { ...(ALL.deviation as NonNullable<Report['deviation']>), altitudeM: null };
    expect(bodies({ ...ALL, deviation }, 'GST')).toEqual(['GNGST,064007.50,2.3,3.2,1.2,78.9,1.5,3.1,']);
  });

  it('GNS has the corrections of one system, not of several', () => {
    const alone: Report = { ...ALL, systemModes: modes('D', 'gps') };
    expect(bodies(alone, 'GNS')[0]).toContain(',DN,09,0.93,545.4,-31.3,5,0120,V');
    expect(bodies(ALL, 'GNS')[0]).toContain(',DADANA,09,0.93,545.4,-31.3,,,V');
  });

  it('corrections take the room of decimals where a line would be too long', () => {
    const high = { ...ALL, altitudeMslM: 45_000.4, differential: { ageS: 12.6, station: 120 } };
    const exact = { secondDecimals: 3, talker: 'auto' };
    expect(bodies(high, 'GGA', style(exact))).toEqual([
      'GNGGA,064007.500,3330.0000,S,07015.0000,W,2,09,0.93,45000,M,-31,M,13,0120',
    ]);
    expect(bodies(high, 'GGA', style({ ...exact, longLines: true }))).toEqual([
      'GNGGA,064007.500,3330.0000,S,07015.0000,W,2,09,0.93,45000.4,M,-31.3,M,13,0120',
    ]);
  });

  it('residuals lose their decimals, then the last of them their place, where a line would be too long', () => {
    const used = Array.from({ length: 12 }, (_, i) => `G${i + 10}`);
    const wide = (residualM: number) => ({ ...FIX, used, residualsM: used.map(() => residualM) });
    expect(bodies(wide(-12.3), 'GRS')).toEqual([`GPGRS,064007.50,1${',-12'.repeat(12)},1,1`]);
    expect(bodies(wide(-12.3), 'GRS', NOT_LIMITED)).toEqual([`GPGRS,064007.50,1${',-12.3'.repeat(12)},1,1`]);
    const blank = bodies(wide(-500), 'GRS')[0] as string;
    expect(blank.split(',')).toHaveLength(17);
    expect(blank).toMatch(/^GPGRS,064007\.50,1(,-500){10,11},{2,3}1,1$/);
  });
});

describe('what is written is what is reported, to the printed digit', () => {
  const decimals = fc.integer({ min: 0, max: 3 });
  const angle = fc.double({ min: 0, max: 360, maxExcluded: true, noNaN: true });
  const fields = (report: Report, name: SentenceName, how: SentenceStyle) =>
    (bodies(report, name, how)[0] as string).split(',');
  const half = (digits: number) => 0.5 * 10 ** -digits + ARITHMETIC;
  const apart = (a: number, b: number) => {
    const off = Math.abs(a - b) % 360;
    return Math.min(off, 360 - off);
  };

  it('magnetic variation in RMC, and the magnetic course in VTG: true less east variation', () => {
    const variation = fc.double({ min: -180, max: 180, noNaN: true });
    fc.assert(
      fc.property(angle, variation, decimals, (courseDeg, variationDeg, courseDecimals) => {
        const how = style({ courseDecimals, longLines: true });
        const report = { ...FIX, courseDeg, variationDeg };
        const rmc = fields(report, 'RMC', how);
        const sign = rmc[11] === 'W' ? -1 : 1;
        expect(apart(sign * Number(rmc[10]), variationDeg)).toBeLessThanOrEqual(half(1));
        const vtg = fields(report, 'VTG', how);
        expect(Number(vtg[3])).toBeLessThan(360);
        expect(apart(Number(vtg[3]) + variationDeg, courseDeg)).toBeLessThanOrEqual(half(courseDecimals));
      }),
      RUNS,
    );
  });

  it('ground speed along and across the heading in VBW', () => {
    const speed = fc.double({ min: 0, max: 1000, noNaN: true });
    fc.assert(
      fc.property(angle, angle, speed, decimals, (courseDeg, headingDeg, speedMps, speedDecimals) => {
        const report = { ...FIX, courseDeg, speedMps, heading: { headingDeg, rateDegPerMin: 0 } };
        const vbw = fields(report, 'VBW', style({ speedDecimals, longLines: true })).map(Number);
        // North and east from along and starboard: a rotation by the heading.
        const [along, across] = [vbw[4] as number, vbw[5] as number];
        const heading = (headingDeg * Math.PI) / 180;
        const course = (courseDeg * Math.PI) / 180;
        const north = along * Math.cos(heading) - across * Math.sin(heading);
        const east = along * Math.sin(heading) + across * Math.cos(heading);
        const off = Math.hypot(
          north - (speedMps / KNOT_MPS) * Math.cos(course),
          east - (speedMps / KNOT_MPS) * Math.sin(course),
        );
        expect(off).toBeLessThanOrEqual(Math.SQRT2 * half(speedDecimals));
      }),
      RUNS,
    );
  });

  it('deviations in GST and GBS, heading and rate of turn', () => {
    const size = fc.double({ min: 0, max: 900, noNaN: true });
    fc.assert(
      fc.property(size, size, angle, decimals, (a, b, headingDeg, digits) => {
        const how = style({ altitudeDecimals: digits, courseDecimals: digits, longLines: true });
        const report: Report = {
          ...ALL,
          deviation: {
            rangeRmsM: a,
            majorM: b,
            minorM: a,
            orientationDeg: headingDeg / 2,
            latitudeM: b,
            longitudeM: a,
            altitudeM: b,
          },
          suspect: { id: 'C46', missedProbability: a / 900, biasM: -a, deviationM: b },
          heading: { headingDeg, rateDegPerMin: a - b },
        };
        const near = (read: string | undefined, meant: number, printed: number) =>
          expect(Math.abs(Number(read) - meant)).toBeLessThanOrEqual(half(printed));
        const gst = fields(report, 'GST', how);
        for (const [place, meant] of [a, b, a, null, b, a, b].entries()) {
          if (meant !== null) near(gst[place + 2], meant, digits);
        }
        expect(apart(Number(gst[5]), headingDeg / 2)).toBeLessThanOrEqual(half(1));
        const gbs = fields(report, 'GBS', how);
        for (const [place, meant] of [b, a, b].entries()) near(gbs[place + 2], meant, digits);
        near(gbs[6], a / 900, 3);
        near(gbs[7], -a, digits);
        near(gbs[8], b, digits);
        expect(apart(Number(fields(report, 'THS', how)[1]), headingDeg)).toBeLessThanOrEqual(half(digits));
        expect(apart(Number(fields(report, 'HDT', how)[1]), headingDeg)).toBeLessThanOrEqual(half(digits));
        near(fields(report, 'ROT', how)[1], a - b, 1);
      }),
      RUNS,
    );
  });

  it('residuals in GRS, to a decimal up to 99.9 m, in the order of GSA', () => {
    const residual = fc.double({ min: -99.9, max: 99.9, noNaN: true });
    fc.assert(
      fc.property(fc.array(residual, { minLength: 1, maxLength: 30 }), (residualsM) => {
        const used = residualsM.map((_, i) => `G${String(i + 1).padStart(2, '0')}`);
        const report = { ...FIX, used, residualsM };
        const how = style({ longLines: true });
        const split = (name: SentenceName, from: number) =>
          bodies(report, name, how)
            .flatMap((body) => body.split(',').slice(from, from + 12))
            .filter((field) => field !== '');
        expect(split('GSA', 3)).toEqual(used.map((id) => id.slice(1)));
        const written = split('GRS', 3);
        expect(written).toHaveLength(residualsM.length);
        for (const [i, text] of written.entries()) {
          expect(text).toMatch(/^-?\d+\.\d$/);
          expect(Math.abs(Number(text) - (residualsM[i] as number))).toBeLessThanOrEqual(half(1));
        }
      }),
      RUNS,
    );
  });
});
