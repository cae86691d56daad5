import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { almanacSatellites } from '../../../src/sim/sky/almanac.js';
import { parseYuma } from '../../../src/sim/sky/yuma.js';
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
    const satellites = almanacSatellites(parseYuma(text, 'week.txt'), { week: 2197, towS: 0 }, false, 'week.txt');
    expect(satellites.map(({ id, statusAt }) => [id, statusAt(0)])).toEqual([
      ['G01', 'unhealthy'],
      ['G02', 'healthy'],
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

describe('an almanac at another date', () => {
  const WEEK_S = 604_800;
  const DAY_S = 86_400;
  /** Half a millimetre in a satellite's position, from doubles of 2.7e7 m and times of some years. */
  const SAME_M = 5e-4;
  /** The quoted satellites, their elements given for different times of the week. */
  const twoTimes = (firstS: number, secondS: number) =>
    QUOTED_ALMANAC.replace('405504.0000', `${firstS}.0`).replace('405504.0000', `${secondS}.0`);

  function placesAt(text: string, week: number, towS: number, shift: boolean, sinceS: number) {
    return almanacSatellites(parseYuma(text, 'week.txt'), { week, towS }, shift, 'week.txt').map(({ orbit }) => {
      const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
      orbit.stateAt(sinceS, state);
      return [state.xM, state.yM, state.zM] as const;
    });
  }

  type Places = ReturnType<typeof placesAt>;

  function expectSame(places: Places, others: Places): void {
    expect(places).toHaveLength(others.length);
    for (const [i, place] of places.entries()) {
      for (const [axis, value] of place.entries()) {
        expect(Math.abs(value - (others[i]?.[axis] ?? Number.NaN))).toBeLessThan(SAME_M);
      }
    }
  }

  it.each([
    // Half a week from the start lies between the two: rounded one by one they came out a week apart.
    [61_440, 147_456, 404_448],
    [147_456, 61_440, 404_448],
    [61_440, 147_456, 0],
    [503_808, 0, 590_000],
  ])('entries for %i s and %i s are moved by the same weeks, at %i s of the start week', (firstS, secondS, towS) => {
    const text = twoTimes(firstS, secondS);
    const weeks = 100 + Math.round((towS - firstS) / WEEK_S);
    // The sky of the week that the almanac belongs to, by the same hours.
    expectSame(placesAt(text, 2297, towS, true, 1000), placesAt(text, 2297 - weeks, towS, false, 1000));
  });

  it('is left alone within 180 days, shift or not', () => {
    const week = 2197 + 20;
    expect(placesAt(QUOTED_ALMANAC, week, 0, true, 0)).toEqual(placesAt(QUOTED_ALMANAC, week, 0, false, 0));
  });

  it('is left alone as a whole where its first entry is within 180 days, and another just beyond', () => {
    const [firstS, secondS] = [345_600, 0];
    const text = twoTimes(firstS, secondS);
    // 179.5 days after the first entry, 183.5 after the second one.
    const sinceS = firstS + 179.5 * DAY_S;
    const week = 2197 + Math.floor(sinceS / WEEK_S);
    const towS = sinceS % WEEK_S;
    expect(() => placesAt(text, week, towS, false, 0)).toThrow(/^almanac\.age: /);
    expectSame(placesAt(text, week, towS, true, 0), placesAt(text, week - 1, towS, false, WEEK_S));
  });
});
