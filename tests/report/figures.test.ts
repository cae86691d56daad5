import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cut, visible } from '../../src/base/visible.js';
import { count, decimal, duration, metres, NOTHING, share, tick, withUnit } from '../../src/report/figures.js';
import { HOSTILE } from './document.js';

/** Spaces of any width read the same. */
const plain = (text: string) => text.replace(/\u202f/g, ' ');

describe('figures', () => {
  it.each([
    [decimal(-0.0004, 2), '0.00'],
    [decimal(-1.5, 1), '−1.5'],
    [decimal(1234.5, 1), '1234.5'],
    [decimal(12_345.678, 2), '12 345.68'],
    [decimal(1e-9, 3), '0.000'],
    [decimal(null, 2), NOTHING],
    [decimal(Number.NaN, 2), NOTHING],
    [decimal(Number.POSITIVE_INFINITY, 2), NOTHING],
    [count(1_234_567), '1 234 567'],
    [withUnit(4.25, 1, 'dB'), '4.3 dB'],
    [share(0.9234), '92.3 %'],
    [share(1), '100 %'],
    [share(0.99999), '> 99.9 %'],
    [share(0.00001), '< 0.1 %'],
    [share(0), '0 %'],
    [metres(4.213), '4.21 m'],
    [metres(123.44), '123.4 m'],
    [metres(9994), '9994 m'],
    [metres(12_345), '12.3 km'],
    [metres(5_400_000), '5400 km'],
    [duration(0.35), '0.35 s'],
    [duration(12.44), '12.4 s'],
    [duration(200), '3 min 20 s'],
    [duration(119.96), '2 min 00 s'],
    [duration(7500), '2 h 05 min'],
    [duration(null), NOTHING],
    [tick(0.25, 0.05), '0.25'],
    [tick(-20, 10), '−20'],
  ])('%s is %s', (found, expected) => {
    expect(plain(found)).toBe(expected);
  });

  it('of any number never hold an exponent of common size, NaN or a negative zero', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e12, max: 1e12 }), fc.integer({ min: 0, max: 6 }), (value, digits) => {
        for (const text of [decimal(value, digits), metres(value), duration(value), share(value)]) {
          expect(text).not.toMatch(/NaN|Infinity|[eE]|^−0(\.0+)?$/);
        }
      }),
    );
  });
});

describe('visible text', () => {
  it('writes out what cannot be seen, and leaves the rest', () => {
    expect(visible('a\u0000b\u001b[31m\tc\nd')).toBe('a\\x00b\\x1b[31m\tc\nd');
    expect(visible('\u202eabc\ufeff')).toBe('\\u202eabc\\ufeff');
    expect(visible('half \ud800, 🛰 whole, \udc00')).toBe('half \\ud800, 🛰 whole, \\udc00');
    expect(visible('Zürich °')).toBe('Zürich °');
  });

  it.each(HOSTILE)('is well-formed for %#', (text) => {
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must be gone
    expect(visible(text)).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/);
    expect(new TextDecoder().decode(new TextEncoder().encode(visible(text)))).toBe(visible(text));
  });

  it('is cut, and says how long it was', () => {
    expect(cut('x'.repeat(10_000), 5)).toBe('xxxxx… (10000 characters)');
    expect(cut('short', 5)).toBe('short');
  });
});
