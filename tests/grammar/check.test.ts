import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { versionsOf, violationsOf } from '../../src/grammar/check.js';
import { GroupCheck } from '../../src/grammar/group-check.js';
import { parseSentence } from '../../src/grammar/sentence.js';
import { VIOLATIONS } from '../../src/grammar/violation.js';
import { codesIn, heardIn, line } from './helper.js';

/** A right sentence of each kind: version 4.11, where nothing else is said. */
const RIGHT = {
  GGA: 'GNGGA,120001.00,4807.0380,N,01131.0000,E,2,08,0.9,545.4,M,46.9,M,3,0120',
  RMC: 'GNRMC,120001.00,A,4807.0380,N,01131.0000,E,5.0,84.4,230394,3.1,W,A,V',
  GLL: 'GNGLL,4807.0380,N,01131.0000,E,120001.00,A,A',
  VTG: 'GNVTG,84.4,T,81.3,M,5.0,N,9.3,K,A',
  GSA: 'GNGSA,A,3,04,05,09,12,24,,,,,,,,2.5,1.3,2.1,1',
  GSV: 'GPGSV,1,1,02,04,40,083,46,05,17,308,,1',
  GNS: 'GNGNS,120001.00,4807.0380,N,01131.0000,E,AANN,13,0.9,545.4,46.9,,,V',
  GST: 'GNGST,120001.00,15.5,15.3,7.2,21.8,0.9,0.5,0.8',
  GBS: 'GNGBS,120001.00,1.2,0.9,2.2,05,0.012,-3.5,1.1,1,1',
  GRS: 'GNGRS,120001.00,1,0.5,-0.2,1.1,-12.3,,,,,,,,,1,1',
  ZDA: 'GNZDA,120001.00,23,03,1994,-05,00',
  DTM: 'GNDTM,W84,,0.0,N,0.0,E,0.0,W84',
  TXT: 'GNTXT,01,01,02,ANT OK',
  HDT: 'GNHDT,274.1,T',
  THS: 'GNTHS,274.1,A',
  ROT: 'GNROT,-3.2,A',
  VBW: 'GNVBW,,,V,5.0,-0.3,A,,V,,V',
} as const;
const RMC_2_1 = 'GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W';
type Kind = keyof typeof RIGHT;
const KINDS = Object.keys(RIGHT) as Kind[];

/** A right sentence with another text in the field at a place, from 1. */
function withField(kind: Kind, place: number, text: string): string {
  const parts = RIGHT[kind].split(',');
  parts[place] = text;
  return line(parts.join(','));
}

describe('a right sentence', () => {
  it.each(KINDS)('of %s has nothing wrong', (kind) => {
    expect(codesIn(line(RIGHT[kind]))).toEqual([]);
  });

  it.each([
    'GPGGA,,,,,,0,00,99.99,,,,,,',
    'GPGGA,,,,,,0,,,,M,,M,,',
    'GPRMC,,V,,,,,,,,,,N,V',
    'GPVTG,,T,,M,,N,,K,N',
    'GPGSV,1,1,00,1',
    'GPGSV,2,2,05,09,07,344,39,,,,,,,,,,,,',
    'GBGSV,1,1,01,05,-03,083,46,B',
    'GPGSA,A,1,,,,,,,,,,,,,,,',
    'GPZDA,,,,,,',
    'GPZDA,235960.00,31,12,2016,00,00',
    'GPRMC,000000,A,9000.0000,S,18000.0000,W,0,360,290224,180.0,E,R,S',
  ])('stays one when it is %s', (body) => {
    expect(codesIn(line(body))).toEqual([]);
  });

  it('may be proprietary or a query, whatever stands in it', () => {
    expect(codesIn(line('PABC,x,,999,y') + line('CCGPQ,GGA'))).toEqual([]);
    expect(codesIn('$PABC,1*00\r\n$CCGPQ,GGA*2B\n')).toEqual(['checksum', 'line-end']);
  });

  it('of a standard formatter that is not judged has nothing wrong', () => {
    expect(codesIn(line('GPALM,1,1,x') + line('SDDBT,1,f,0.3,M,0.2,F'))).toEqual([]);
  });

  it('never stays one where any character of it is another', () => {
    const kinds = fc.constantFrom(...KINDS);
    fc.assert(
      fc.property(kinds, fc.nat(), fc.integer({ min: 1, max: 255 }), (kind, place, flip) => {
        const right = line(RIGHT[kind]);
        const at = place % right.length;
        const wrong = String.fromCharCode(right.charCodeAt(at) ^ flip);
        const stream = right.slice(0, at) + wrong + right.slice(at + 1);
        const heard = heardIn(stream);
        // Without its beginning it is no sentence; with a letter of its checksum in lower case it is a right one.
        const isNone = heard.length === 0 || !stream.startsWith(right.slice(0, 3));
        expect(isNone || heard.some((each) => violationsOf(each).length > 0)).toBe(true);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('a line', () => {
  const right = line(RIGHT.HDT);
  const bare = right.slice(0, -2);

  it.each<[what: string, stream: string, codes: string[]]>([
    ['a wrong checksum', right.replace(/\*../, '*00'), ['checksum']],
    ['none', right.replace(/\*../, ''), ['checksum-absent']],
    ['one digit of it', right.replace(/(\*.)./, '$1'), ['checksum-form']],
    ['it in lower case', line(RMC_2_1).replace('*6A', '*6a'), ['checksum-lower-case']],
    ['LF alone', `${bare}\n`, ['line-end']],
    ['CR alone', `${bare}\r`, ['line-end']],
    ['CR CR LF', `${bare}\r\r\n`, ['line-end']],
    ['the next sentence', bare + right, ['line-end']],
    ['the next amid it', bare.slice(0, 9) + right, ['cut-off']],
    ['the end of the stream amid it', bare.slice(0, 9), ['cut-off']],
    ['more than 82 characters', line(`PABC,${'x'.repeat(72)}`), ['too-long']],
    ['82 characters', line(`PABC,${'x'.repeat(71)}`), []],
    ['an 8-bit character', line('GPTXT,01,01,02,\xb0'), ['character']],
    ['a tab', line('GPTXT,01,01,02,a\tb'), ['character']],
    ['a reserved character', line('GPTXT,01,01,02,a~b'), ['escape']],
    ['two stars', line('GPTXT,01,01,02,a*b'), ['escape']],
    ['an escape', line('GPTXT,01,01,02,a^2Ab'), []],
    ['half an escape', line('GPTXT,01,01,02,a^2'), ['escape']],
    ['an odd address', line('GPGG,1'), ['address']],
    ['an odd talker', line('XXHDT,274.1,T'), ['unknown-talker']],
    ['QZSS under PQ', line('PQGSV,1,1,00,1'), ['variant-talker']],
    ['an odd formatter', line('GPXQX,1'), ['unknown-formatter']],
    ['! where nothing is encapsulated', right.replace('$', '!'), ['start']],
    ['! where something is', `!${line('AIVDM,1,1,,A,13u?etPv2;0n:dDPwUM1U1Cb069D,0').slice(1)}`, []],
  ])('with %s', (_what, stream, codes) => {
    expect(codesIn(stream)).toEqual(codes);
  });
});

describe('a field', () => {
  it.each<[kind: Kind, place: number, text: string, codes: string[]]>([
    ['GGA', 1, '12000', ['field-form: time']],
    ['GGA', 1, '120001.', ['field-form: time']],
    ['GGA', 1, '250001', ['field-range: time']],
    ['GGA', 1, '120060', ['sixty-minutes: time']],
    ['GGA', 2, '4807', []],
    ['GGA', 2, '807.0380', ['leading-zeros: latitude']],
    ['GGA', 2, '4860.0000', ['sixty-minutes: latitude']],
    ['GGA', 2, '4861.0000', ['field-range: latitude']],
    ['GGA', 2, '9000.0001', ['field-range: latitude']],
    ['GGA', 2, '04807.0380', ['field-form: latitude']],
    ['GGA', 2, '-4807.038', ['field-form: latitude']],
    ['GGA', 3, 'E', ['field-code: hemisphere of the latitude']],
    ['GGA', 3, '', ['empty-field-pair: hemisphere of the latitude']],
    ['GGA', 4, '1131.00', ['leading-zeros: longitude']],
    ['GGA', 4, '18000.0001', ['field-range: longitude']],
    ['GGA', 6, '9', ['field-code: quality']],
    ['GGA', 6, '', ['field-missing: quality']],
    ['GGA', 7, '8', ['leading-zeros: satellites used']],
    ['GGA', 8, 'x', ['field-form: HDOP']],
    ['GGA', 8, '-0.9', ['field-range: HDOP']],
    ['GGA', 10, '', ['empty-field-pair: unit of the altitude']],
    ['GGA', 11, '', []],
    ['GGA', 11, '469', ['field-range: geoid separation']],
    ['RMC', 2, 'X', ['field-code: status']],
    ['RMC', 8, '360.1', ['field-range: course']],
    ['RMC', 8, '', []],
    ['RMC', 9, '310694', ['date: date']],
    ['RMC', 9, '23394', ['field-form: date']],
    ['RMC', 11, '', ['empty-field-pair: direction of the magnetic variation']],
    ['RMC', 10, '', ['empty-field-pair: direction of the magnetic variation']],
    ['RMC', 12, 'N', ['field-conflict']],
    ['RMC', 12, '', ['field-missing: mode']],
    ['RMC', 13, 'A', ['field-code: navigational status']],
    ['VTG', 5, '5.5', ['field-conflict']],
    ['VTG', 2, 'M', ['field-code: mark of the course']],
    ['GSA', 2, '4', ['field-code: fix']],
    ['GSA', 3, '195', ['satellite-number: satellite 1']],
    ['GSA', 3, '00', ['field-range: satellite 1']],
    ['GSA', 5, '04', ['satellite-twice: satellite 3']],
    ['GSA', 18, '7', ['field-code: system id']],
    ['GSV', 2, '2', ['gsv-count: number of this sentence']],
    ['GSV', 1, '2', ['gsv-more: number of sentences']],
    ['GSV', 3, '05', ['gsv-count: number of sentences']],
    ['GSV', 4, '', ['field-missing: number of satellite 1']],
    ['GSV', 5, '91', ['field-range: elevation of satellite 1']],
    ['GSV', 6, '360', ['field-range: azimuth of satellite 1']],
    ['GSV', 6, '83', ['leading-zeros: azimuth of satellite 1']],
    ['GSV', 7, '46.1', ['decimal-cn0: C/N0 of satellite 1']],
    ['GSV', 12, '11', ['decimal-signal-id: signal id']],
    ['GSV', 12, 'b', ['field-code: signal id']],
    ['GNS', 6, 'AX', ['field-code: modes']],
    ['GNS', 6, 'AANNNNN', ['field-form: modes']],
    ['GBS', 6, '1.5', ['field-range: probability of a missed fault']],
    ['GRS', 2, '2', ['field-code: mode']],
    ['ZDA', 2, '31', []],
    ['ZDA', 3, '13', ['field-range: month']],
    ['ZDA', 4, '94', ['field-range: year']],
    ['ZDA', 4, '', ['field-conflict']],
    ['ZDA', 5, '-14', ['field-range: hours of the zone']],
    ['DTM', 8, 'X', ['field-code: reference datum']],
    ['TXT', 2, '02', ['field-conflict: number of this sentence']],
    ['THS', 2, 'N', ['field-code: mode']],
    ['ROT', 1, '3,2', ['field-count']],
    ['VBW', 6, '', ['field-missing: status of the speed over ground']],
  ])('of %s at place %i that is "%s"', (kind, place, text, codes) => {
    expect(codesIn(withField(kind, place, text))).toEqual(codes);
  });

  it('that names a number twice where that is of one system', () => {
    const gsa = (head: string, end: string) => line(`${head},A,3,04,05,04,12,,,,,,,,,2.5,1.3,2.1${end}`);
    const twice = ['satellite-twice: satellite 3'];
    expect(codesIn(gsa('GPGSA', ''))).toEqual(twice);
    expect(codesIn(gsa('GNGSA', ',1'))).toEqual(twice);
    // A number of two systems.
    expect(codesIn(gsa('GNGSA', '') + gsa('GNGSA', ','))).toEqual([]);
  });

  it('that contradicts another', () => {
    expect(codesIn(line('GPGGA,120001,,,,,1,08,0.9,,,,,,'))).toEqual(['field-conflict']);
    expect(codesIn(line('GPGGA,120001,4807.0380,N,,,1,08,0.9,,,,,,'))).toEqual(['field-conflict']);
    expect(codesIn(line('GPRMC,120001,A,,,,,,,,,,A'))).toEqual(['field-conflict']);
    expect(codesIn(line('GPZDA,120001,30,02,2024,00,00'))).toEqual(['date: day']);
    expect(codesIn(line('GNGNS,120001,,,,,AN,05,,,,,'))).toEqual(['field-conflict']);
  });

  it('too many or too few is told of once, with what is allowed', () => {
    const [heard] = heardIn(line('GPGSV,1,1,02,04,40,083,46,05,17,1'));
    expect(heard && violationsOf(heard)).toEqual([
      {
        code: 'field-count',
        line: 1,
        offset: 0,
        field: null,
        what: 'GSV with 10 fields; 3, 4, 7, 8, 11, 12, 15, 16, 19, 20 are allowed',
      },
    ]);
  });

  it('is told of with its name, what was found and what is allowed, where it stands', () => {
    const [, heard] = heardIn(line(RIGHT.HDT) + withField('GSV', 6, '370'));
    expect(heard && violationsOf(heard)).toEqual([
      {
        code: 'field-range',
        line: 2,
        offset: line(RIGHT.HDT).length,
        field: 'azimuth of satellite 1',
        what: 'azimuth of satellite 1 of GSV is "370"; 000 to 359 is allowed',
      },
    ]);
  });
});

describe('any bytes', () => {
  it('are judged, and what is found stands in the stream', () => {
    const parts = fc.oneof(
      fc.constantFrom(...KINDS).map((kind) => line(RIGHT[kind])),
      fc.constantFrom('$', '*', ',', '\r\n', '\0', '$GPGSV,', '$GPRMC,,,,,,,,,,,,*', '!AIVDM,'),
      fc.uint8Array({ maxLength: 8 }).map((bytes) => String.fromCharCode(...bytes)),
    );
    fc.assert(
      fc.property(fc.array(parts, { maxLength: 30 }), (list) => {
        const stream = list.join('');
        const groups = new GroupCheck();
        for (const heard of heardIn(stream)) {
          for (const { line: at, offset, what } of [...violationsOf(heard), ...groups.put(heard)]) {
            expect([at, offset]).toEqual([heard.piece.line, heard.piece.offset]);
            expect(stream.startsWith(heard.piece.text, offset)).toBe(true);
            expect(what).toMatch(/^[\x20-\x7e…]{4,400}$/);
          }
        }
      }),
    );
  });
});

describe('versions', () => {
  it.each([
    ['GPRMC,120001,A,4807.038,N,01131.000,E,5.0,84.4,230394,3.1,W', ['2.1']],
    ['GPRMC,120001,A,4807.038,N,01131.000,E,5.0,84.4,230394,3.1,W,A', ['2.3', '3.01', '4.00']],
    [RIGHT.RMC, ['4.10', '4.11']],
    [RIGHT.GSV, ['4.10', '4.11']],
    ['GPGSV,1,1,00', ['2.1', '2.3', '3.01', '4.00']],
    ['GPGSA,A,1,,,,,,,,,,,,,,,', ['2.1', '2.3', '3.01', '4.00']],
    ['GPVTG,,T,,M,,N,,K', ['2.1']],
    ['GPVTG,,T,,M,,N,,K,N,N', []],
    ['GPALM,1', []],
    ['PABC,1', []],
  ])('of %s by its number of fields', (body, versions) => {
    expect(versionsOf(parseSentence(`$${body}`))).toEqual(versions);
  });

  it('that are expected rule the others out', () => {
    const [heard] = heardIn(line(RIGHT.RMC));
    const codes = (version: '2.3' | '4.10') => heard && violationsOf(heard, { version }).map(({ code }) => code);
    expect(codes('4.10')).toEqual([]);
    expect(codes('2.3')).toEqual(['version-count']);
  });
});

describe('options', () => {
  it('tell of an unknown formatter once', () => {
    const told = new Set<string>();
    const codes = heardIn(line('GPXQX,1') + line('GPXQX,2') + line('GPXQY,2')).map(
      (heard) => violationsOf(heard, { told }).length,
    );
    expect(codes).toEqual([1, 0, 1]);
  });

  it('of weight and title are there for every code', () => {
    for (const [code, { title, weight }] of Object.entries(VIOLATIONS)) {
      expect(code).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
      expect(title, code).not.toBe('');
      expect(['damage', 'breach', 'variant']).toContain(weight);
    }
  });
});
