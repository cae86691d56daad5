import { afterEach, describe, expect, it, vi } from 'vitest';
import { magneticVariationDeg } from '../../src/sim/magnetic-variation.js';

/** A step of one metre across the edge of a cell, where the model itself changes by less than this, deg. */
const NO_STEP_DEG = 1e-4;
const METRE_DEG = 1 / 111_000;

afterEach(() => vi.restoreAllMocks());

describe('magneticVariationDeg', () => {
  it('is unknown outside the years for which the model holds, and says nothing on the console', () => {
    const error = vi.spyOn(console, 'error');
    for (const year of [1980, 2024.999, 2030.001, 2100, Number.NaN]) {
      expect(magneticVariationDeg(50, 10, 0, year), String(year)).toBeNull();
    }
    for (const year of [2025, 2029.95, 2030]) {
      expect(magneticVariationDeg(50, 10, 0, year), String(year)).toBeGreaterThan(3);
    }
    expect(error).not.toHaveBeenCalled();
  });

  it('does not depend on what was asked before', () => {
    const alone = magneticVariationDeg(63.43, 10.39, 40, 2026.2);
    magneticVariationDeg(-30, 150, 40, 2026.2);
    expect(magneticVariationDeg(63.43, 10.39, 40, 2026.2)).toBe(alone);
  });

  it('has no step where one cell ends', () => {
    for (const edge of [0, 0.1, 45.3, -33.7, 179.9]) {
      const before = magneticVariationDeg(Math.min(edge, 60) - METRE_DEG / 2, edge - METRE_DEG / 2, 0, 2026) as number;
      const after = magneticVariationDeg(Math.min(edge, 60) + METRE_DEG / 2, edge + METRE_DEG / 2, 0, 2026) as number;
      expect(Math.abs(after - before)).toBeLessThan(NO_STEP_DEG);
    }
  });

  it('is a number in (-180, 180] at the poles and on the date line', () => {
    for (const [latitudeDeg, longitudeDeg] of [
      [90, 0],
      [90, -180],
      [-90, 33],
      [0, 180],
      [0, -180],
      [89.9999, 179.9999],
    ] as const) {
      const said = magneticVariationDeg(latitudeDeg, longitudeDeg, 9000, 2027) as number;
      expect(said).toBeGreaterThan(-180);
      expect(said).toBeLessThanOrEqual(180);
    }
  });
});
