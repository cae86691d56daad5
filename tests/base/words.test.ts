import { describe, expect, it } from 'vitest';
import { counted, grouped, listed, number, ordinal, times } from '../../src/base/words.js';

describe('words for figures', () => {
  it('count things, and part thousands from five digits on', () => {
    expect([counted(1, 'epoch'), counted(0, 'epoch'), counted(2, 'loss', 'losses')]).toEqual([
      '1 epoch',
      '0 epochs',
      '2 losses',
    ]);
    expect([9999, 10_000, 1_234_567, -12_345].map(grouped)).toEqual(['9999', '10,000', '1,234,567', '-12,345']);
  });

  it('leave out zeros at the end, and the sign of nothing', () => {
    expect([number(1.5, 3), number(100, 0), number(100, 2), number(-0.001, 2)]).toEqual(['1.5', '100', '100', '0']);
  });

  it('say once, and not 1 times', () => {
    expect([1, 2, 12_345].map(times)).toEqual(['once', '2 times', '12,345 times']);
  });

  it.each([
    [0, '0th'],
    [1, '1st'],
    [2, '2nd'],
    [3, '3rd'],
    [4, '4th'],
    [11, '11th'],
    [12, '12th'],
    [13, '13th'],
    [21, '21st'],
    [32, '32nd'],
    [111, '111th'],
    [1024, '1024th'],
  ])('number %i in a row as %s', (place, expected) => {
    expect(ordinal(place)).toBe(expected);
  });

  it('list, and leave out what is too much', () => {
    expect([listed([]), listed(['a']), listed(['a', 'b']), listed(['a', 'b', 'c'])]).toEqual([
      '',
      'a',
      'a and b',
      'a, b and c',
    ]);
    expect(listed(['a', 'b', 'c', 'd'], 2)).toBe('a, b and 2 more');
    expect(listed(['a', 'b', 'c'], 8, 'or')).toBe('a, b or c');
  });
});
