import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { LodestubError } from '../../src/base/error.js';
import { type Dimension, formatQuantity, parseQuantity, quantityExample, unitsOf } from '../../src/base/quantity.js';
import { quantity } from '../../src/base/quantity-schema.js';

/** Rounding of one multiplication, relative. */
const ROUNDING = 1e-14;
/** Relative: what is formatted has 6 digits. */
const SIX_DIGITS = 5.1e-6;

const DIMENSIONS: readonly Dimension[] = [
  'duration',
  'length',
  'speed',
  'acceleration',
  'angle',
  'yaw-rate',
  'frequency',
  'level',
];

describe('a quantity', () => {
  it.each([
    ['90 s', 'duration', 90],
    ['80 ms', 'duration', 0.08],
    ['2 us', 'duration', 2e-6],
    ['-40 m', 'length', -40],
    ['20 min', 'duration', 1200],
    ['1.5 h', 'duration', 5400],
    ['2 days', 'duration', 172_800],
    ['40 m', 'length', 40],
    ['2km', 'length', 2000],
    ['1 NM', 'length', 1852],
    ['10 ft', 'length', 3.048],
    ['9 kn', 'speed', (9 * 1852) / 3600],
    ['36 km/h', 'speed', 10],
    ['4 m/s', 'speed', 4],
    ['1 mph', 'speed', 0.44704],
    ['0.5 m/s2', 'acceleration', 0.5],
    ['1 g', 'acceleration', 9.80665],
    ['10 deg', 'angle', 10],
    ['10°', 'angle', 10],
    ['10 deg/s', 'yaw-rate', 10],
    ['5 Hz', 'frequency', 5],
    ['20 dB', 'level', 20],
    [' -1e1 m ', 'length', -10],
    ['.5 m', 'length', 0.5],
    ['0', 'speed', 0],
  ] as const)('%s is a %s of %d', (text, dimension, valueSi) => {
    expect(Math.abs(parseQuantity(text, dimension) - valueSi)).toBeLessThanOrEqual(ROUNDING * Math.abs(valueSi));
  });

  it.each([
    ['9', 'quantity.unit'],
    ['9 parsec', 'quantity.unit'],
    ['9 kn', 'quantity.unit'],
    ['9 constructor', 'quantity.unit'],
    ['', 'quantity.format'],
    ['s', 'quantity.format'],
    ['nine s', 'quantity.format'],
    ['1 2 s', 'quantity.format'],
    ['1e999 s', 'quantity.format'],
    ['1e308 d', 'quantity.format'],
  ])('%j is no duration', (text, code) => {
    expect(() => parseQuantity(text, 'duration')).toThrow(expect.objectContaining({ code }));
  });

  it('names an example that can be read, for every dimension', () => {
    for (const dimension of DIMENSIONS) expect(parseQuantity(quantityExample(dimension), dimension)).toBeGreaterThan(0);
  });

  it('is formatted so that it is read back, to 6 digits', () => {
    const value = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(fc.constantFrom(...DIMENSIONS), value, (dimension, valueSi) => {
        const back = parseQuantity(formatQuantity(valueSi, dimension), dimension);
        expect(Math.abs(back - valueSi)).toBeLessThanOrEqual(SIX_DIGITS * Math.abs(valueSi));
      }),
    );
  });

  it('is formatted in the unit that a person would take', () => {
    const said = [0, 0.08, 1, 90, 120, 1200, 5400, 86_400, 366 * 86_400].map((each) =>
      formatQuantity(each, 'duration'),
    );
    expect(said).toEqual(['0 s', '80 ms', '1 s', '90 s', '2 min', '20 min', '1.5 h', '24 h', '366 d']);
  });

  it('never fails with anything but a LodestubError', () => {
    fc.assert(
      fc.property(fc.string(), fc.constantFrom(...DIMENSIONS), (text, dimension) => {
        try {
          expect(Number.isFinite(parseQuantity(text, dimension))).toBe(true);
        } catch (error) {
          expect(error).toBeInstanceOf(LodestubError);
        }
      }),
    );
  });
});

describe('a quantity in a schema', () => {
  const issueOf = (schema: z.ZodType, value: unknown) => schema.safeParse(value).error?.issues[0] as never;
  const mask = quantity('angle', { min: 0, max: 90 });

  it('gives the number in SI, and takes a bare zero', () => {
    expect(quantity('duration').parse('2 min')).toBe(120);
    expect(quantity('duration').parse(0)).toBe(0);
    expect(quantity('duration').prefault('5 s').parse(undefined)).toBe(5);
    expect(quantity('duration').optional().parse(undefined)).toBeUndefined();
  });

  it.each([
    ['95 deg', 'range', '0 deg to 90 deg'],
    ['-1 deg', 'range', '0 deg to 90 deg'],
    ['95 m', 'unit', 'an angle with a unit (deg, °), such as 10 deg, 0 deg to 90 deg'],
    [10, 'unit', 'an angle with its unit, such as 10 deg, 0 deg to 90 deg'],
    [true, 'type', 'an angle with its unit, such as 10 deg, 0 deg to 90 deg'],
    [undefined, 'required', 'an angle with its unit, such as 10 deg, 0 deg to 90 deg'],
  ])('%j: %s', (value, kind, expected) => {
    expect(issueOf(mask, value)).toMatchObject({ code: 'custom', params: { kind, expected } });
  });

  it('keeps its bounds, the open one too', () => {
    expect(mask.parse('90 deg')).toBe(90);
    const positive = quantity('duration', { exclusiveMin: 0, max: 3600 });
    expect(positive.parse('1 h')).toBe(3600);
    expect(issueOf(positive, 0)).toMatchObject({ params: { expected: 'more than 0 s, up to 1 h' } });
    expect(issueOf(quantity('speed', { min: 1 }), 0)).toMatchObject({ params: { expected: 'at least 1 m/s' } });
  });

  it('has a JSON Schema whose pattern takes what is read, with every unit', () => {
    for (const dimension of DIMENSIONS) {
      const schema = z.toJSONSchema(quantity(dimension), { io: 'input' });
      expect(schema.examples).toEqual([quantityExample(dimension)]);
      const pattern = new RegExp(schema.pattern as string, 'u');
      for (const unit of unitsOf(dimension)) expect(`1.5 ${unit}`).toMatch(pattern);
      expect('1.5').not.toMatch(pattern);
      expect('1.5 parsec').not.toMatch(pattern);
    }
  });
});
