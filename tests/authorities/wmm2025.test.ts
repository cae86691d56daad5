import { existsSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { magneticField } from 'magvar';
import { describe, expect, it } from 'vitest';
import { magneticVariationDeg } from '../../src/sim/magnetic-variation.js';

/** Half of the last digit that is published, and what a double adds. */
const PRINTED_DEG = 0.005 + 1e-9;
/** What interpolation within a cell may cost where a compass is of use. */
const CELL_DEG = 0.01;
/** Horizontal field below which a compass is of no use, nT (WMM2025 report: blackout zone). */
const BLACKOUT_NT = 2000;

const TABLES = '../../../shared/data/tables/';
const REPORT = new URL(`${TABLES}wmm2025-report-table.txt`, import.meta.url);
const HUNDRED = new URL(`${TABLES}wmm2025-test-values-100.txt`, import.meta.url);

/** NOAA/NCEI and BGS, World Magnetic Model 2025 technical report, table of test values: year, km, deg, deg, deg. */
const PUBLISHED = [
  [2025, 0, 80, 0, 1.28],
  [2025, 0, 0, 120, -0.16],
  [2025, 0, -80, 240, 68.78],
  [2025, 100, 80, 0, 0.85],
  [2025, 100, 0, 120, -0.15],
  [2025, 100, -80, 240, 68.21],
  [2027.5, 0, 80, 0, 2.59],
  [2027.5, 0, 0, 120, -0.24],
  [2027.5, 0, -80, 240, 68.49],
  [2027.5, 100, 80, 0, 2.16],
  [2027.5, 100, 0, 120, -0.23],
  [2027.5, 100, -80, 240, 67.93],
] as const;

function rows(file: URL): number[][] {
  const lines = readFileSync(file, 'utf8').split('\n');
  return lines
    .filter((line) => line.trim() !== '' && !line.startsWith('#'))
    .map((line) => line.trim().split(/\s+/).map(Number));
}

/** The smaller angle between two directions, deg. */
function apart(a: number, b: number): number {
  const off = Math.abs(a - b) % 360;
  return Math.min(off, 360 - off);
}

describe('magnetic variation', () => {
  it.each(PUBLISHED)(
    'in %f at %f km, %f deg N, %f deg E is %f deg (WMM2025 report, table of test values)',
    (...row) => {
      const [year, heightKm, latitudeDeg, longitudeDeg, declinationDeg] = row;
      const said = magneticVariationDeg(latitudeDeg, longitudeDeg, heightKm * 1000, year) as number;
      expect(apart(said, declinationDeg)).toBeLessThan(PRINTED_DEG);
    },
  );

  it.skipIf(!existsSync(REPORT))('has all rows of the report quoted here (needs ../shared/data)', () => {
    expect(rows(REPORT).map((row) => [...row.slice(0, 4), row[10]])).toEqual(PUBLISHED);
  });

  it.skipIf(!existsSync(HUNDRED))(
    'agrees with 100 published values (NOAA/NCEI, WMM2025 test values; needs ../shared/data)',
    () => {
      const values = rows(HUNDRED);
      expect(values).toHaveLength(100);
      for (const row of values) {
        const [year, heightKm, latitudeDeg, longitudeDeg, declinationDeg] = row as [
          number,
          number,
          number,
          number,
          number,
        ];
        const said = magneticVariationDeg(latitudeDeg, longitudeDeg, heightKm * 1000, year) as number;
        expect(apart(said, declinationDeg), String(row)).toBeLessThan(PRINTED_DEG);
      }
    },
  );

  it('is within 0.01 deg of magvar 2.2 (an independent WMM2025) anywhere that a compass is of use', () => {
    const place = fc.tuple(
      fc.double({ min: -89, max: 89, noNaN: true }),
      fc.double({ min: -180, max: 180, noNaN: true }),
      fc.integer({ min: -1, max: 90 }),
      fc.double({ min: 2025.01, max: 2029.99, noNaN: true }),
    );
    let compared = 0;
    fc.assert(
      fc.property(place, ([latitudeDeg, longitudeDeg, heightHm, year]) => {
        const other = magneticField(latitudeDeg, longitudeDeg, heightHm / 10, year);
        if (other.h < BLACKOUT_NT) return;
        const said = magneticVariationDeg(latitudeDeg, longitudeDeg, heightHm * 100, year) as number;
        expect(apart(said, other.declination)).toBeLessThan(CELL_DEG + PRINTED_DEG);
        compared++;
      }),
      { numRuns: 2000 },
    );
    expect(compared).toBeGreaterThan(1800);
  });
});
