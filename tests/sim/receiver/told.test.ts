import { describe, expect, it } from 'vitest';
import type { Epoch, Report } from '../../../src/sim/epoch.js';
import type { ReceiverSettings } from '../../../src/sim/receiver/settings.js';
import { OPEN_SKY, type Surroundings } from '../../../src/sim/surroundings.js';
import { epochs, simulator, type Wish } from './still.js';

const TUNNEL: Surroundings = { kind: 'tunnel' };
const hooks = {
  surroundings: (atMs: number) => (atMs >= 20_000 && atMs < 40_000 ? TUNNEL : OPEN_SKY),
};
/** Doubles of some hundred metres, added. */
const ROUNDING_M = 1e-6;

/** A minute with a tunnel from 20 s to 40 s. */
function minute(receiver: Partial<ReceiverSettings>, more: Wish = {}): Epoch[] {
  return epochs(simulator({ seed: 2, hooks, receiver, ...more }), 60);
}
const PLAIN = minute({});
/** What a module that is set so reports otherwise than a plain one. */
function otherwise(receiver: Partial<ReceiverSettings>, place: number): Partial<Report> {
  const report = minute(receiver)[place]?.report as Report;
  const plain = PLAIN[place]?.report as Report;
  const keys = Object.keys(report) as (keyof Report)[];
  return Object.fromEntries(
    keys.filter((key) => JSON.stringify(report[key]) !== JSON.stringify(plain[key])).map((key) => [key, report[key]]),
  );
}

describe('what a module tells of heights', () => {
  const plain = PLAIN[10]?.report as Report;

  it('without a geoid: separation 0, and for the altitude the height above the ellipsoid', () => {
    const { altitudeMslM, geoidSeparationM, ...rest } = otherwise({ geoidSeparation: 'zero' }, 10);
    expect(rest).toEqual({});
    expect(geoidSeparationM).toBe(0);
    const heightM = (plain.altitudeMslM as number) + (plain.geoidSeparationM as number);
    expect(Math.abs((altitudeMslM as number) - heightM)).toBeLessThan(ROUNDING_M);
    expect(Math.abs((plain.geoidSeparationM as number) - 0)).toBeGreaterThan(20);
  });

  it('no separation, or no altitude: nothing else changes', () => {
    expect(otherwise({ geoidSeparation: 'blank' }, 10)).toEqual({ geoidSeparationM: null });
    expect(otherwise({ tellsAltitude: false }, 10)).toEqual({ altitudeMslM: null });
  });
});

describe('without a fix after one', () => {
  it('the last position goes on as void where the module is so, height included, and nothing else', () => {
    const all = minute({ positionWhenLost: 'last' });
    const last = all[19]?.report as Report;
    const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM } = last;
    for (const { report } of all.slice(20, 40)) {
      expect(report).toMatchObject({ fix: 'none', quality: 0, mode: 'N', status: 'V', used: [], hdop: null });
      expect(report).toMatchObject({ latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM });
      expect(report).toMatchObject({ speedMps: null, courseDeg: null, deviation: null, timeKnown: true });
    }
    expect(otherwise({ positionWhenLost: 'last' }, 30)).toEqual({
      latitudeDeg,
      longitudeDeg,
      altitudeMslM,
      geoidSeparationM,
    });
    expect(otherwise({ positionWhenLost: 'last' }, 50)).toEqual({});
    expect(PLAIN[30]?.report.latitudeDeg).toBeNull();
  });

  it('heights that are not told with a fix are not told without', () => {
    const how = { positionWhenLost: 'last', tellsAltitude: false, geoidSeparation: 'blank' } as const;
    expect(minute(how)[30]?.report).toMatchObject({ altitudeMslM: null, geoidSeparationM: null, status: 'V' });
  });

  it('before the first fix, and after a loss of power, there is no position to show', () => {
    const run = simulator({ start: 'cold', receiver: { positionWhenLost: 'last' } });
    const before = epochs(run, 15);
    expect(before.every(({ report }) => report.latitudeDeg === null)).toBe(true);
    epochs(run, 60);
    expect(run.next().report.fix).toBe('3d');
    run.receiver.powerOff();
    expect(run.next().report.latitudeDeg).toBeNull();
    run.receiver.powerOn('warm');
    expect(run.next().report.latitudeDeg).toBeNull();
  });

  it('after dead reckoning it is the last place reckoned', () => {
    const smoothing = { holdBelowMps: null, lowPassS: 0, deadReckoningS: 5 };
    const all = minute({ smoothing, positionWhenLost: 'last' });
    expect(all[24]?.report).toMatchObject({ mode: 'E', status: 'A' });
    const { latitudeDeg, longitudeDeg } = (all[24] as Epoch).report;
    expect(all[25]?.report).toMatchObject({ mode: 'N', status: 'V', latitudeDeg, longitudeDeg });
  });
});

describe('dead reckoning', () => {
  const smoothing = { holdBelowMps: null, lowPassS: 0, deadReckoningS: 5 };

  it.each(['A', 'V'] as const)('has status %s where the module is so, and else is the same', (estimatedStatus) => {
    const all = minute({ smoothing, estimatedStatus });
    for (const { report } of all.slice(20, 25)) {
      expect(report).toMatchObject({ mode: 'E', quality: 6, fix: '2d', status: estimatedStatus });
      expect(report.latitudeDeg).not.toBeNull();
    }
    expect(all[10]?.report.status).toBe('A');
    expect(all[30]?.report.status).toBe('V');
  });
});
