import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FaultSpan } from '../../src/trial/evidence.js';
import { isWithin, whyNoWindow, windowsOf } from '../../src/trial/windows.js';
import { madeEvidence } from './made.js';

const span = (id: string, kind: string, beginMs: number, endMs: number): FaultSpan => ({
  ...{ id, kind, beginMs, endMs, with: {} },
});
const ALL = { fromS: null, toS: null, during: null };
const EVIDENCE = madeEvidence({
  endMs: 60_000,
  faults: [
    span('1.1', 'silence', 5_000, 8_000),
    span('cable.1', 'port-loss', 20_000, 22_000),
    span('cable.2', 'port-loss', 40_000, 42_000),
    span('4.1', 'silence', 7_000, 9_000),
    span('route.2', 'tunnel', 50_000, 60_000),
  ],
});

describe('windows', () => {
  it.each([
    ['all of the case by default', ALL, [[0, 60_000]]],
    ['from and to', { ...ALL, fromS: 10, toS: 30 }, [[10_000, 30_000]]],
    ['to beyond the end', { ...ALL, toS: 90 }, [[0, 60_000]]],
    ['a kind, overlapping spans as one', { ...ALL, during: 'silence' }, [[5_000, 9_000]]],
    [
      'an entry’s name, all its occurrences',
      { ...ALL, during: 'cable' },
      [
        [20_000, 22_000],
        [40_000, 42_000],
      ],
    ],
    ['one occurrence', { ...ALL, during: 'cable.2' }, [[40_000, 42_000]]],
    ['an entry’s place in the timeline', { ...ALL, during: '4' }, [[7_000, 9_000]]],
    ['surroundings, of the route too', { ...ALL, during: 'tunnel' }, [[50_000, 60_000]]],
    [
      'what from and to leave',
      { fromS: 21, toS: 41, during: 'cable' },
      [
        [21_000, 22_000],
        [40_000, 41_000],
      ],
    ],
    ['none where it never was', { ...ALL, during: 'forest' }, []],
    ['none after the end', { ...ALL, fromS: 60 }, []],
    ['none where it was at another time', { ...ALL, toS: 5, during: 'silence' }, []],
  ])('are %s', (_, settings, expected) => {
    expect(windowsOf(settings, EVIDENCE).map(({ beginMs, endMs }) => [beginMs, endMs])).toEqual(expected);
  });

  it.each([
    [{ ...ALL, during: 'forest' }, 'no fault and no surroundings "forest" were in force'],
    [{ ...ALL, fromS: 90 }, 'the case ended after 60 s, and it counts from 90 s on'],
    [{ ...ALL, toS: 5, during: 'silence' }, '"silence" was not in force from 0 s to 5 s'],
    [{ ...ALL, fromS: 9, during: 'silence' }, '"silence" was not in force from 9 s on'],
  ])('that are empty say why', (settings, why) => {
    expect(windowsOf(settings, EVIDENCE)).toEqual([]);
    expect(whyNoWindow(settings, EVIDENCE)).toBe(why);
  });

  it('have their begin in them and not their end, unless that is the case’s', () => {
    const windows = windowsOf({ ...ALL, during: 'cable' }, EVIDENCE);
    expect([19_999, 20_000, 21_999, 22_000].map((atMs) => isWithin(windows, EVIDENCE, atMs))).toEqual([
      ...[false, true, true, false],
    ]);
    expect([60_000, 60_500].map((atMs) => isWithin(windowsOf(ALL, EVIDENCE), EVIDENCE, atMs))).toEqual([true, true]);
  });

  it('are in order, apart, and have just the times in which one of the spans was in force', () => {
    const times = fc.integer({ min: 0, max: 60 });
    const spans = fc.array(fc.tuple(times, times), { maxLength: 8 });
    fc.assert(
      fc.property(spans, times, times, times, (list, fromS, toS, probeS) => {
        const faults = list.map(([a, b], i) => span(`${i}.1`, 'silence', 1000 * Math.min(a, b), 1000 * Math.max(a, b)));
        const evidence = { ...EVIDENCE, faults };
        const windows = windowsOf({ fromS, toS, during: 'silence' }, evidence);
        windows.forEach(({ beginMs, endMs }, i) => {
          expect(beginMs).toBeLessThan(endMs);
          if (i > 0) expect(beginMs).toBeGreaterThan(windows[i - 1]?.endMs ?? Infinity);
        });
        const atMs = probeS * 1000 + 500;
        const isInForce = faults.some(({ beginMs, endMs }) => atMs >= beginMs && atMs < endMs);
        const isIn = windows.some(({ beginMs, endMs }) => atMs >= beginMs && atMs < endMs);
        expect(isIn).toBe(isInForce && atMs >= fromS * 1000 && atMs < toS * 1000);
      }),
    );
  });
});
