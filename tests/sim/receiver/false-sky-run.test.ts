import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import { playRun, roof } from '../../run/helper.js';
import { errorOf } from './still.js';

/** On a roof in open sky, four systems; what befalls it begins at 30 s. */
const BEGIN_S = 30;
/** The errors of an hour of open sky. */
const ERROR_M = 12;

async function run(
  fault: Readonly<Record<string, unknown>>,
  durationS = 120,
  forS = 60,
  more: Readonly<Record<string, unknown>> = {},
): Promise<Epoch[]> {
  const { steps } = await playRun({
    scenario: roof({
      duration: `${durationS} s`,
      module: { baud: 115_200, sentences: { RMC: 1 } },
      sky: { systems: ['gps', 'galileo'] },
      timeline: [{ at: `${BEGIN_S} s`, for: `${forS} s`, fault: 'false-sky', with: fault }],
      ...more,
    }),
  });
  return steps.flatMap(({ epoch }) => (epoch.truth === null ? [] : [epoch]));
}

/** A solved time is as good as the ranges: tens of nanoseconds. */
const SOLVED_TIME_S = 1e-7;

/** Seconds of UTC by which the report is ahead of the truth. */
function aheadS({ report, utc }: Epoch): number {
  const { utc: told } = report;
  if (told === null) return Number.NaN;
  const of = ({ hour, minute, second }: typeof utc) => hour * 3600 + minute * 60 + second;
  return of(told) - of(utc);
}

describe('a false sky, through the whole engine', () => {
  it('pulls the position off at the rate set, to the place set, and no check of the receiver notices', async () => {
    const all = await run({ offset: { east: '200 m', north: '-100 m' }, rate: '10 m/s' });
    const whole = Math.hypot(200, 100);
    all.slice(BEGIN_S, BEGIN_S + 60).forEach((epoch, sinceS) => {
      const { report } = epoch;
      expect(report.fix).toBe('3d');
      const share = Math.min(1, (10 * sinceS) / whole);
      const { eastM, northM } = errorOf(epoch);
      expect(Math.hypot(eastM - 200 * share, northM + 100 * share)).toBeLessThan(ERROR_M);
      // Doppler says the same as the place: the course is that of the pull.
      const isPulled = sinceS > 1 && share < 1;
      if (isPulled) expect(Math.abs((report.speedMps as number) - 10)).toBeLessThan(0.5);
      if (isPulled) expect(Math.abs((report.courseDeg as number) - 116.57)).toBeLessThan(3);
      if (share === 1 && sinceS > 26) expect(report.speedMps).toBeLessThan(0.5);
      expect(aheadS(epoch)).toBe(0);
    });
  });

  it('lets the position go again: satellites are lost by the jump back, and found at the true place', async () => {
    const all = await run({ offset: { east: '400 m' }, rate: '50 m/s' });
    const endS = BEGIN_S + 60;
    expect(Math.abs(errorOf(all[endS - 1] as Epoch).eastM - 400)).toBeLessThan(ERROR_M);
    for (const epoch of all.slice(endS + 3)) {
      expect(epoch.report.fix).toBe('3d');
      const { eastM, northM } = errorOf(epoch);
      expect(Math.hypot(eastM, northM)).toBeLessThan(ERROR_M);
    }
  });

  it('at once: the position jumps by it within seconds', async () => {
    const all = await run({ offset: { north: '30000 m' }, onset: 'at-once' });
    for (const epoch of all.slice(BEGIN_S + 5, BEGIN_S + 60)) {
      expect(epoch.report.fix).toBe('3d');
      const { eastM, northM } = errorOf(epoch);
      expect(Math.abs(eastM)).toBeLessThan(ERROR_M);
      expect(Math.abs(northM - 30_000)).toBeLessThan(ERROR_M);
    }
  });

  it.each([
    ['2 s', -2],
    ['-7 s', 7],
  ])(
    'with a time of %s: the clock is off by it within seconds, the place is not, and both are right again',
    async (time, s) => {
      const all = await run({ offset: { east: '0 m' }, time, onset: 'at-once' });
      for (const epoch of all.slice(0, BEGIN_S)) expect(aheadS(epoch)).toBe(0);
      for (const epoch of all.slice(BEGIN_S + 5, BEGIN_S + 60)) {
        expect(epoch.report.fix).toBe('3d');
        expect(Math.abs(aheadS(epoch) - s)).toBeLessThan(SOLVED_TIME_S);
        const { eastM, northM } = errorOf(epoch);
        expect(Math.hypot(eastM, northM)).toBeLessThan(ERROR_M);
      }
      for (const epoch of all.slice(BEGIN_S + 66)) {
        expect(epoch.report.fix).toBe('3d');
        expect(aheadS(epoch)).toBe(0);
      }
    },
  );

  it('a time that creeps off makes the clock late by microseconds', async () => {
    // 20 us are 6 km, reached in 60 s.
    const all = await run({ offset: { east: '0 m' }, time: '20 us', rate: '100 m/s' }, 120, 80);
    const late = all.slice(BEGIN_S + 62, BEGIN_S + 80);
    for (const { report } of late) {
      expect(report.fix).toBe('3d');
      // 20 us late: the second before, almost over.
      expect((report.utc?.second as number) % 1).toBeGreaterThan(0.9999);
      expect((report.utc?.second as number) % 1).toBeLessThan(1 - 15e-6);
    }
  });

  it('of one system alone: it does not agree with the other, and what does not agree is not reported', async () => {
    const all = await run({ offset: { east: '3000 m' }, onset: 'at-once', systems: ['galileo'] });
    for (const epoch of all.slice(BEGIN_S + 5, BEGIN_S + 60)) {
      const { report } = epoch;
      if (report.fix === 'none') continue;
      const { eastM, northM } = errorOf(epoch);
      const offM = Math.hypot(eastM, northM);
      // Either the true place without Galileo or the false one without GPS; nothing between.
      expect(Math.min(offM, Math.abs(offM - 3000))).toBeLessThan(3 * ERROR_M);
    }
  });
});
