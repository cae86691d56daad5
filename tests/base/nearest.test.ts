import { expect, it } from 'vitest';
import { nearestFirst, suggest } from '../../src/base/nearest.js';

const WORDS = ['bad-checksum', 'silence', 'signal-loss'];

it('the nearest word comes first, and none is left out', () => {
  expect(nearestFirst('Silense', WORDS)).toEqual(['silence', 'signal-loss', 'bad-checksum']);
  expect(nearestFirst('bad-cheksum', WORDS)[0]).toBe('bad-checksum');
});

it('a near word is asked for, a far one is not', () => {
  expect(suggest('silense', WORDS)).toBe('Did you mean silence? Known: bad-checksum, silence, signal-loss.');
  expect(suggest('xyz', WORDS)).toMatch(/^Known: /);
  expect(suggest('a', ['b'])).toBe('Known: b.');
  expect(suggest('a', [])).toBe('There are none.');
});

it('of a long list those are shown that are nearest', () => {
  const ids = Array.from({ length: 200 }, (_, index) => `live-${index}`);
  expect(suggest('live-7x', ids)).toMatch(/^Did you mean live-7\? Known: live-7, .* and 150 more\.$/);
});
