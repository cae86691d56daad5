import { describe, expect, it } from 'vitest';
import { figure } from '../../../src/trial/expectations/figures.js';

describe('a figure', () => {
  it.each([
    [0, '0 m'],
    [15, '15 m'],
    [4.254, '4.25 m'],
    [12.34, '12.3 m'],
    [123.4, '123 m'],
    [-0.25, '-0.25 m'],
    [0.004, '0.004 m'],
    [0.0149, '0.0149 m'],
    [0.00123456, '0.00123 m'],
  ])('%d is shown as %s', (value, text) => {
    expect(figure(value, 'm')).toBe(text);
  });

  it('does not look like the limit that it misses', () => {
    expect(figure(10.004, 'm', 10)).toBe('10.004 m');
    expect(figure(0.0041, 's', 0.004)).toBe('0.0041 s');
  });
});
