import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { matches, shardOf } from '../../src/trial/matrix.js';

describe('shards', () => {
  it('together have every case once, and differ by one in size at most', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 200 }), fc.integer({ min: 1, max: 20 }), (count, of) => {
        const cases = Array.from({ length: count }, (_, i) => i);
        const parts = Array.from({ length: of }, (_, i) => shardOf(cases, { part: i + 1, of }));
        expect(parts.flat().sort((a, b) => a - b)).toEqual(cases);
        const sizes = parts.map(({ length }) => length);
        expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it('none given: all, in order', () => {
    expect(shardOf(['a', 'b', 'c'], null)).toEqual(['a', 'b', 'c']);
  });
});

describe('a pattern', () => {
  const place = { scenario: 'drive', module: 'single-band-9600', seed: '3', faults: 'tunnel' };

  it.each([
    [{}, true],
    [{ faults: ['tunnel', 'jam'] }, true],
    [{ faults: ['jam'] }, false],
    [{ faults: ['tunnel'], seed: ['4'] }, false],
    [{ faults: ['tunnel'], seed: ['4', '3'], module: ['single-band-9600'], scenario: ['drive'] }, true],
  ])('%j: %s', (pattern, isMeant) => {
    expect(matches(place, pattern)).toBe(isMeant);
  });
});
