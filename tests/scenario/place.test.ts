import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { formatPlace, parsePlace, readPlace } from '../../src/scenario/place.js';

/** Half of the last digit that formatPlace prints, deg, with room for rounding. */
const LAST_DIGIT_DEG = 0.51e-7;
/** The same for the height, m. */
const LAST_DIGIT_M = 0.51e-3;
/** Rounding in degrees and minutes turned into degrees, deg. */
const ROUNDING_DEG = 1e-12;

const TRONDHEIM = { latitudeDeg: 63.4305, longitudeDeg: 10.3951 };

describe('a place as text', () => {
  it.each([
    ['63.4305, 10.3951'],
    ['63.4305,10.3951'],
    [' +63.4305 ,  +10.3951 '],
    ['63.4305 N 10.3951 E'],
    ['63.4305N 10.3951E'],
    ['63.4305N10.3951E'],
    ['63.4305 n, 10.3951 e'],
    ['63.4305° N, 10.3951° E'],
    ['63.4305°, 10.3951°'],
    ["63° 25.83' N 10° 23.706' E"],
    ['63°25.83′N 10°23.706′E'],
    ['63° 25\' 49.8" N 10° 23\' 42.36" E'],
    ["63°25'49.8''N, 10°23'42.36''E"],
  ])('%s', (text) => {
    const place = parsePlace(text);
    expect(Math.abs(place.latitudeDeg - TRONDHEIM.latitudeDeg)).toBeLessThan(ROUNDING_DEG);
    expect(Math.abs(place.longitudeDeg - TRONDHEIM.longitudeDeg)).toBeLessThan(ROUNDING_DEG);
    expect(place).not.toHaveProperty('altitudeMslM');
  });

  it('has a height with or without unit', () => {
    expect(parsePlace('63.43, 10.39, 12 m').altitudeMslM).toBe(12);
    expect(parsePlace('63.43, 10.39, 12').altitudeMslM).toBe(12);
    expect(parsePlace('63.43 N 10.39 E, -3.5m').altitudeMslM).toBe(-3.5);
    expect(parsePlace('63.43, 10.39, 2 km').altitudeMslM).toBe(2000);
  });

  it('is south and west by letter or sign', () => {
    expect(parsePlace('33.9 S 18.4 W')).toEqual({ latitudeDeg: -33.9, longitudeDeg: -18.4 });
    expect(parsePlace('-33.9, -18.4')).toEqual({ latitudeDeg: -33.9, longitudeDeg: -18.4 });
    expect(parsePlace("-0° 30', 0")).toEqual({ latitudeDeg: -0.5, longitudeDeg: 0 });
  });

  it('is at most at the poles and the date line', () => {
    expect(parsePlace('90, -180')).toEqual({ latitudeDeg: 90, longitudeDeg: -180 });
    for (const text of ['90.0001, 0', '0, 180.0001', '91 S 0 E', '10, 20, 90 km']) {
      expect(() => parsePlace(text), text).toThrow(/^place\.range: expected/);
    }
  });

  it.each([
    [''],
    ['63.4305'],
    ['63.4305 10.3951'],
    ['63.4305 N 10.3951'],
    ['63.4305 E 10.3951 N'],
    ['-63 N 10 E'],
    ["63.5° 25' N 10° E"],
    ["63° 60' N 10° E"],
    ['somewhere'],
    ['63.43, 10.39, high'],
    ['63.43, 10.39, 12 kn'],
    ['63.43; 10.39'],
    ['1, 2, 3, 4'],
  ])('%j is none', (text) => {
    expect(() => parsePlace(text)).toThrow(/^place\.format: expected/);
  });
});

describe('a place as a list', () => {
  it('has two or three parts', () => {
    expect(readPlace([63.4305, 10.3951])).toEqual(TRONDHEIM);
    expect(readPlace([63.4305, 10.3951, '12 m'])).toEqual({ ...TRONDHEIM, altitudeMslM: 12 });
    expect(readPlace([63.4305, 10.3951, 12])).toEqual({ ...TRONDHEIM, altitudeMslM: 12 });
    expect(readPlace(['63.4305 N', '10.3951 E'])).toEqual(TRONDHEIM);
  });

  it.each([[[]], [[1]], [[1, 2, 3, 4]], [[1, null]], [[Number.NaN, 2]], [{ lat: 1 }], [7], [null], [[1, 2, null]]])(
    'not as %j',
    (value) => {
      expect(() => readPlace(value)).toThrow(LodestubError);
    },
  );
});

it('what is written is read back to the printed digit', () => {
  const height = fc.option(fc.double({ min: -1000, max: 50_000, noNaN: true }), { nil: undefined });
  fc.assert(
    fc.property(
      fc.double({ min: -90, max: 90, noNaN: true }),
      fc.double({ min: -180, max: 180, noNaN: true }),
      height,
      (latitudeDeg, longitudeDeg, altitudeMslM) => {
        const place = { latitudeDeg, longitudeDeg, ...(altitudeMslM === undefined ? {} : { altitudeMslM }) };
        const back = parsePlace(formatPlace(place));
        expect(Math.abs(back.latitudeDeg - latitudeDeg)).toBeLessThan(LAST_DIGIT_DEG);
        expect(Math.abs(back.longitudeDeg - longitudeDeg)).toBeLessThan(LAST_DIGIT_DEG);
        if (altitudeMslM === undefined) expect(back.altitudeMslM).toBeUndefined();
        else expect(Math.abs((back.altitudeMslM as number) - altitudeMslM)).toBeLessThan(LAST_DIGIT_M);
      },
    ),
  );
});
