import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { interference } from '../../src/faults/kinds/interference.js';
import { AT_BEGIN, effectOf, levels, signalsFrom } from './signal-helper.js';

/** Products of doubles. */
const ARITHMETIC_DB = 1e-9;

function lossAt(settings: unknown, sinceS: number, leftS = Infinity): number {
  const signals = signalsFrom(['G01']);
  effectOf(interference, settings).signal(signals, { ...AT_BEGIN, sinceS, leftS });
  return 45 - (signals[0]?.cn0DbHz as number);
}

describe('interference', () => {
  it('takes 20 dB of C/N0 at once, unless it is told otherwise', () => {
    expect(interference.settings.parse({})).toEqual({ loss: 20, ramp: 0, bands: 'all' });
    expect(lossAt({}, 0)).toBe(20);
    expect(lossAt({ loss: '12 dB' }, 100, 1)).toBe(12);
  });

  it.each([
    [0, 100, 0],
    [5, 95, 7.5],
    [10, 90, 15],
    [20, 80, 30],
    [60, 40, 30],
    [90, 10, 15],
    [99, 1, 1.5],
  ])('with a ramp of 20 s for 100 s: after %d s, with %d s left, takes %d dB', (sinceS, leftS, lossDb) => {
    expect(Math.abs(lossAt({ loss: '30 dB', ramp: '20 s' }, sinceS, leftS) - lossDb)).toBeLessThan(ARITHMETIC_DB);
  });

  it('without an end stays at its worst', () => {
    expect(lossAt({ ramp: '20 s' }, 1e6)).toBe(20);
  });

  it('on some bands leaves the others as they are', () => {
    const signals = signalsFrom(['G01', 'E02', 'R03'], ['L1', 'L2', 'L5']);
    effectOf(interference, { bands: ['L1', 'L2'] }).signal(signals, AT_BEGIN);
    for (const { kind, cn0DbHz } of signals) expect(cn0DbHz, kind.name).toBe(kind.band === 'L5' ? 45 : 25);
    expect(signals.some(({ kind }) => kind.band === 'L5')).toBe(true);
  });

  it.each([
    { loss: '0 dB' },
    { loss: 20 },
    { loss: '101 dB' },
    { ramp: '-1 s' },
    { bands: [] },
    { bands: ['L3'] },
    { band: 'L1' },
  ])('refuses %j', (settings) => {
    expect(interference.settings.safeParse(settings).success).toBe(false);
  });

  it('never makes NaN, and never strengthens', () => {
    const seconds = fc.double({ min: 0, max: 1e5, noNaN: true });
    fc.assert(
      fc.property(
        seconds,
        seconds,
        fc.integer({ min: 0, max: 1000 }),
        fc.constantFrom(45, -Infinity),
        (since, left, ramp, from) => {
          const signals = signalsFrom(['G01'], ['L1'], () => from);
          effectOf(interference, { ramp: `${ramp} s` }).signal(signals, { ...AT_BEGIN, sinceS: since, leftS: left });
          const [level] = levels(signals) as [number];
          expect(level <= from && level >= from - 20).toBe(true);
        },
      ),
    );
  });
});
