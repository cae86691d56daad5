import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import * as constants from '../../src/base/constants.js';

const SRC = new URL('../../src/', import.meta.url).pathname;
/** Values with fewer digits than this (1852, 3600) also stand for other things. */
const TELLING_DIGITS = 4;

function significantDigits(literal: string): number {
  return literal
    .replace(/e.*$/i, '')
    .replace(/[._]/g, '')
    .replace(/^0+|0+$/g, '').length;
}

describe('constants', () => {
  it('no two names have the same value', () => {
    const values = Object.values(constants);
    expect(new Set(values).size).toBe(values.length);
    for (const [name, value] of Object.entries(constants)) expect(value, name).toBeGreaterThan(0);
  });

  it('each stands once: no other source file writes a value of src/base/constants.ts again', () => {
    const known = new Map(
      Object.entries(constants)
        .filter(([, value]) => significantDigits(String(value)) >= TELLING_DIGITS)
        .map(([name, value]) => [value, name] as const),
    );
    const found: string[] = [];
    for (const entry of readdirSync(SRC, { recursive: true, encoding: 'utf8' })) {
      if (!entry.endsWith('.ts') || entry.endsWith('constants.ts')) continue;
      const lines = readFileSync(join(SRC, entry), 'utf8').split('\n');
      for (const [index, line] of lines.entries()) {
        const code = line.replace(/^\s*(\/?\*|\/\/).*$|\/\/.*$/, '');
        for (const [literal] of code.matchAll(/(?<![\w.])\d[\d_]*(\.\d+)?(e-?\d+)?/gi)) {
          const name = known.get(Number(literal.replaceAll('_', '')));
          if (name !== undefined) found.push(`src/${entry}:${index + 1}: ${literal} is ${name}`);
        }
      }
    }
    expect(found).toEqual([]);
  });

  it('derived values follow from their definitions', () => {
    expect(constants.SECONDS_PER_WEEK).toBe(7 * constants.SECONDS_PER_DAY);
    const product = constants.DEG_PER_RAD * constants.RAD_PER_DEG;
    expect(Math.abs(product - 1)).toBeLessThan(2 * Number.EPSILON);
  });
});
