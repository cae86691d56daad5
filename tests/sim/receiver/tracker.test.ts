import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import type { EpochHooks } from '../../../src/sim/simulator.js';
import { epochs, firstWhere, isTracked, simulator, type Wish } from './still.js';

const FOUR: Wish['systems'] = ['gps', 'glonass', 'galileo', 'beidou'];

const lockedIn = ({ report }: Epoch) => report.inView.flatMap(({ signals }) => signals);

describe('channels', () => {
  it.each([2, 7, 20, 45])('%i of them: never more signals at a time, of two bands together', (channels) => {
    for (const start of ['cold', 'hot'] as const) {
      const receiver = { channels, bands: ['L1', 'L5'] as const };
      const all = epochs(simulator({ systems: FOUR, start, receiver }), 90);
      for (const epoch of all) expect(lockedIn(epoch).length).toBeLessThanOrEqual(channels);
      expect(lockedIn(all.at(-1) as Epoch).length).toBe(channels);
    }
  });

  it('go round: signals too weak to be found do not keep them from others', () => {
    // Of all satellites the last four alone are strong enough for a search from nothing.
    const strong = ({ satellites }: Epoch) => satellites.map(({ id }) => id).slice(-4);
    const ids = strong(simulator({ systems: ['gps'] }).next());
    const hooks: EpochHooks = {
      signals: (signals) => {
        for (const signal of signals) signal.cn0DbHz = ids.includes(signal.id) ? 45 : 30;
      },
    };
    const run = simulator({ start: 'cold', hooks, receiver: { channels: 4, elevationMaskDeg: 0 } });
    const last = epochs(run, 120).at(-1) as Epoch;
    expect(last.report.used).toEqual(ids);
  });

  it('of a satellite that is lost are free for others', () => {
    const used = (epochs(simulator({ receiver: { channels: 5 } }), 20).at(-1) as Epoch).report.used;
    const hooks: EpochHooks = {
      signals: (signals, atMs) => {
        for (const signal of signals) if (atMs >= 20_000 && used.includes(signal.id)) signal.cn0DbHz = -Infinity;
      },
    };
    const run = simulator({ hooks, receiver: { channels: 5, elevationMaskDeg: 0 } });
    epochs(run, 20);
    const last = epochs(run, 20).at(-1) as Epoch;
    const tracked = last.satellites.filter(({ state }) => isTracked(state)).map(({ id }) => id);
    expect(tracked.length).toBeGreaterThanOrEqual(3);
    expect(tracked.some((id) => used.includes(id))).toBe(false);
  });
});

describe('a signal that jumps', () => {
  /** One satellite's range from 20 s on. */
  const jump = (id: string, falseM: number, rateMps = 0): EpochHooks => ({
    signals: (signals, atMs) => {
      if (atMs < 20_000) return;
      for (const signal of signals) {
        if (signal.id !== id) continue;
        signal.falseRangeM = falseM + (rateMps * (atMs - 20_000)) / 1000;
        signal.falseRangeRateMps = rateMps;
      }
    },
  });
  const id = (epochs(simulator(), 20).at(-1) as Epoch).report.used[2] as string;
  const stateAt = (all: readonly Epoch[], s: number) => all[s]?.satellites.find((each) => each.id === id)?.state;
  const observedAt = (all: readonly Epoch[], s: number) => all[s]?.observations.find((each) => each.id === id);

  it('by more than half a chip of the C/A code is lost, and found anew where it now is', () => {
    const all = epochs(simulator({ hooks: jump(id, 400), withObservations: true }), 30);
    expect(observedAt(all, 19)?.isFresh).toBe(false);
    expect(observedAt(all, 20)).toBeUndefined();
    const again = all.slice(21).findIndex((_, i) => observedAt(all, 21 + i) !== undefined);
    expect(again).toBeGreaterThanOrEqual(0);
    expect(observedAt(all, 21 + again)?.isFresh).toBe(true);
    expect(stateAt(all, 29)).toBe('tracking');
  });

  it('by less stays tracked', () => {
    const all = epochs(simulator({ hooks: jump(id, 100), withObservations: true }), 30);
    for (let s = 20; s < 30; s++) expect(observedAt(all, s)?.isFresh).toBe(false);
  });

  it('far but as fast as its Doppler says stays tracked: that is how a spoofer takes it along', () => {
    const all = epochs(simulator({ hooks: jump(id, 0, 800), withObservations: true }), 30);
    for (let s = 20; s < 30; s++) expect(observedAt(all, s)?.isFresh).toBe(false);
  });
});

describe('satellites', () => {
  it('that set are let go at once, and their channel forgets them', () => {
    const run = simulator({ receiver: { elevationMaskDeg: 0, antenna: 'good' }, epochMs: 10_000 });
    let before = new Set<string>();
    let set = 0;
    for (const { satellites, report } of epochs(run, 1500)) {
      const up = new Set(satellites.map(({ id }) => id));
      for (const id of before) {
        if (up.has(id)) continue;
        set++;
        expect(report.inView.some((each) => each.id === id)).toBe(false);
        expect(report.used).not.toContain(id);
      }
      before = up;
    }
    expect(set).toBeGreaterThan(5);
  });

  it('with several signals are found on the first one, and the second follows within a second or so', () => {
    const run = simulator({ start: 'cold', systems: FOUR, receiver: { bands: ['L1', 'L5'], antenna: 'good' } });
    const firstAt = new Map<string, number>();
    let followed = 0;
    for (const { report, atMs } of epochs(run, 60)) {
      for (const { id, signals } of report.inView) {
        if (signals.length === 0) continue;
        if (!firstAt.has(id)) {
          firstAt.set(id, atMs);
          expect(signals[0]?.kind.band).toBe('L1');
        }
        if (signals.length === 2 && atMs - (firstAt.get(id) as number) <= 2000) followed++;
      }
    }
    expect(followed).toBeGreaterThan(10);
  });

  it('cold: strong ones are found within seconds, at different times', () => {
    const run = simulator({ start: 'cold', systems: FOUR, epochMs: 100, receiver: { antenna: 'good' } });
    const times = new Map<string, number>();
    firstWhere(
      run,
      ({ satellites, atMs }) => {
        for (const { id, state, elevationDeg } of satellites) {
          if (elevationDeg > 30 && isTracked(state) && !times.has(id)) times.set(id, atMs);
        }
        return atMs > 5000;
      },
      60,
    );
    expect(times.size).toBeGreaterThan(8);
    expect(Math.max(...times.values())).toBeLessThanOrEqual(3000);
    expect(new Set(times.values()).size).toBeGreaterThan(4);
  });
});
