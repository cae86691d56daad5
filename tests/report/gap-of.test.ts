import { describe, expect, it } from 'vitest';
import { gapOf } from '../../src/report/gap-of.js';

describe('from when on points are apart', () => {
  it('goes by their usual distance, whatever a single one is', () => {
    const timesS = [0, 1, 2, 3, 100, 101, 102];
    expect(gapOf(timesS)).toBeGreaterThan(1);
    expect(gapOf(timesS)).toBeLessThan(97);
  });

  it('is never so where nothing tells, and never below the least', () => {
    expect(gapOf([])).toBe(Infinity);
    expect(gapOf([5])).toBe(Infinity);
    expect(gapOf([5, 5, 5])).toBe(Infinity);
    expect(gapOf([5, 5, 5], 0.5)).toBe(0.5);
    expect(gapOf([0, 0.01, 0.02], 0.5)).toBe(0.5);
  });
});
