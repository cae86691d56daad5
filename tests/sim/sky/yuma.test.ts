import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { parseYuma, yumaSatellites } from '../../../src/sim/sky/yuma.js';
import { QUOTED_ALMANAC } from '../../authorities/almanac-2197.js';

function failure(text: string): LodestubError {
  try {
    parseYuma(text, 'week.txt');
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('no error');
}

describe('reading a YUMA almanac', () => {
  it('gives every value of every block, in order', () => {
    const entries = parseYuma(QUOTED_ALMANAC, 'week.txt');
    expect(entries.length).toBe(2);
    expect(entries[0]).toEqual({
      prn: 1,
      health: 0,
      eccentricity: 0.01139211655,
      toaS: 405504,
      inclinationRad: 0.9867355387,
      nodeRateRadps: -0.7886042771e-8,
      rootSemiMajor: 5153.623047,
      nodeRad: -1.912602899,
      perigeeRad: 0.881498914,
      meanAnomalyRad: -2.769097477,
      af0S: 0.4291534424e-3,
      af1: -0.1091393642e-10,
      week: 149,
    });
  });

  it.each([
    ['carriage returns', QUOTED_ALMANAC.replaceAll('\n', '\r\n')],
    ['old line ends', QUOTED_ALMANAC.replaceAll('\n', '\r')],
    ['no blank lines', QUOTED_ALMANAC.replaceAll('\n\n', '\n')],
    ['more blank lines and blanks', `\n\n${QUOTED_ALMANAC.replaceAll('\n', '  \n\n')}`],
    [
      'other letters’ case and spacing',
      QUOTED_ALMANAC.replaceAll(/^.*:/gm, (label) => label.toUpperCase().replaceAll(' ', '')),
    ],
    ['no title lines between complete blocks', QUOTED_ALMANAC.split('\n').slice(0, 14).join('\n')],
  ])('does not mind %s', (_, text) => {
    const expected = parseYuma(QUOTED_ALMANAC, 'week.txt');
    const entries = parseYuma(text, 'week.txt');
    expect(entries).toEqual(expected.slice(0, entries.length));
    expect(entries.length).toBeGreaterThan(0);
  });

  it('a satellite whose health is not 0 says that it must not be used', () => {
    const text = QUOTED_ALMANAC.replace('Health:                     000', 'Health:                     063');
    const satellites = yumaSatellites(parseYuma(text, 'week.txt'), { week: 2197, towS: 0 }, false, 'week.txt');
    expect(satellites.map(({ id, healthy }) => [id, healthy])).toEqual([
      ['G01', false],
      ['G02', true],
    ]);
  });

  it.each([
    ['an empty file', '', 'almanac.empty', /no block/],
    ['another file', '<?xml version="1.0"?>\n<gpx/>\n', 'almanac.line', /line 1.*YUMA/],
    ['a value that is no number', QUOTED_ALMANAC.replace('0.1139211655E-001', '0,0113'), 'almanac.line', /line 4/],
    ['a missing value', QUOTED_ALMANAC.replace('0.1139211655E-001', ''), 'almanac.line', /line 4/],
    [
      'an eccentricity of 0.9',
      QUOTED_ALMANAC.replace('0.1139211655E-001', '0.9'),
      'almanac.range',
      /0 to 0\.1, got 0\.9/,
    ],
    ['satellite 0', QUOTED_ALMANAC.replace(/01$/m, '00'), 'almanac.range', /ID.*1 to 63/],
    ['a semi-major axis in m', QUOTED_ALMANAC.replace('5153.623047', '26559700'), 'almanac.range', /4000 to 7000/],
    [
      'a file that was cut off',
      QUOTED_ALMANAC.split('\n').slice(0, -4).join('\n'),
      'almanac.incomplete',
      /satellite 2.*cut off/,
    ],
    ['a satellite that stands there twice', QUOTED_ALMANAC + QUOTED_ALMANAC, 'almanac.twice', /satellite 1/],
  ])('refuses %s', (_, text, code, says) => {
    const error = failure(text);
    expect(error.code).toBe(code);
    expect(error.message).toMatch(says);
    expect(error.message).toContain('week.txt');
  });

  it('whatever stands in the file, the answer is entries or one clear error', () => {
    const piece = fc.oneof(fc.constantFrom('***', 'ID: 3', 'Health: 000', 'week: 1', ':', 'a:b', ''), fc.string());
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 30 }), (lines) => {
        expect(failure(lines.join('\n')).code).toMatch(/^almanac\./);
      }),
    );
  });

  it('cut at any place it is refused, or whole blocks are left', () => {
    for (let end = 0; end < QUOTED_ALMANAC.length; end += 3) {
      try {
        const entries = parseYuma(QUOTED_ALMANAC.slice(0, end), 'week.txt');
        expect(entries.every(({ week }) => week === 149 || week === 14 || week === 1)).toBe(true);
      } catch (error) {
        expect(error).toBeInstanceOf(LodestubError);
      }
    }
  });
});
