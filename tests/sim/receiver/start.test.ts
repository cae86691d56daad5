import { describe, expect, it } from 'vitest';
import type { Epoch, StartKind } from '../../../src/sim/epoch.js';
import { OPEN_SKY, type Surroundings } from '../../../src/sim/surroundings.js';
import { epochs, firstWhere, median, only, simulator } from './still.js';

const TUNNEL: Surroundings = { kind: 'tunnel' };

const RUNS = 90;
const LIMIT_S = 120;
/** Spread over a data set's two hours and over the 30 s frame. */
const START_STEP_S = 77;
/** Subframes 1 to 3 last 18 s, and no receiver can know an ephemeris sooner. */
const SHORTEST_EPHEMERIS_S = 18;
/** Typical of modern modules: cold start under 35 s, warm under 34 s, hot under 1.5 s and so at its second epoch. */
const TYPICAL_COLD_S = 35;
const TYPICAL_WARM_S = 34;
const HOT_S = 2;
/** 25 frames of 30 s. */
const ALMANAC_S = 750;

function timesToFix(start: StartKind): number[] {
  return Array.from({ length: RUNS }, (_, seed) => {
    const run = simulator({ seed, start, startS: seed * START_STEP_S });
    const fix = firstWhere(run, ({ report }) => report.fix !== 'none', LIMIT_S);
    return (fix?.atMs ?? Infinity) / 1000;
  });
}

describe('time to first fix, 90 seeds and times of start', () => {
  it('cold: half of them within 25 to 35 s, never under 18 s, all within 45 s', () => {
    const times = timesToFix('cold');
    expect(Math.min(...times)).toBeGreaterThanOrEqual(SHORTEST_EPHEMERIS_S);
    expect(median(times)).toBeGreaterThan(25);
    expect(median(times)).toBeLessThanOrEqual(TYPICAL_COLD_S);
    expect(Math.max(...times)).toBeLessThan(45);
  });

  it('warm: sooner than cold on average, but the ephemeris takes its time too', () => {
    const times = timesToFix('warm');
    expect(Math.min(...times)).toBeGreaterThanOrEqual(SHORTEST_EPHEMERIS_S);
    expect(median(times)).toBeLessThanOrEqual(TYPICAL_WARM_S);
    expect(median(times)).toBeLessThanOrEqual(median(timesToFix('cold')));
  });

  it('hot: at the second epoch', () => {
    const times = timesToFix('hot');
    expect(Math.max(...times)).toBeLessThan(HOT_S);
    expect(Math.min(...times)).toBeGreaterThan(0);
  });

  it('at 10 Hz a hot start takes over half a second: bit edges must be found', () => {
    const times = Array.from({ length: 30 }, (_, seed) => {
      const run = simulator({ seed, start: 'hot', epochMs: 100 });
      return (firstWhere(run, ({ report }) => report.fix === '3d', 50)?.atMs ?? Infinity) / 1000;
    });
    expect(Math.min(...times)).toBeGreaterThanOrEqual(0.5);
    expect(Math.max(...times)).toBeLessThan(HOT_S);
  });
});

function firstAt(all: readonly Epoch[], fits: (epoch: Epoch) => boolean): number {
  const found = all.findIndex(fits);
  return found < 0 ? Infinity : found;
}

describe('a cold start reports nothing that it cannot know', () => {
  const runs = Array.from({ length: 30 }, (_, seed) =>
    epochs(simulator({ seed, start: 'cold', startS: seed * START_STEP_S }), 60),
  );

  it('at first all is blank', () => {
    for (const [first] of runs) {
      expect((first as Epoch).report).toMatchObject({
        fix: 'none',
        quality: 0,
        mode: 'N',
        status: 'V',
        utc: null,
        timeKnown: false,
        dateKnown: false,
        latitudeDeg: null,
        longitudeDeg: null,
        altitudeMslM: null,
        geoidSeparationM: null,
        speedMps: null,
        courseDeg: null,
        hdop: null,
        vdop: null,
        pdop: null,
        used: [],
        inView: [],
      });
    }
  });

  it('time comes first, then the date, then the place', () => {
    let timeAlone = 0;
    for (const run of runs) {
      const time = firstAt(run, ({ report }) => report.timeKnown);
      const date = firstAt(run, ({ report }) => report.dateKnown);
      const place = firstAt(run, ({ report }) => report.latitudeDeg !== null);
      // A whole subframe takes 6 s, whose first bit comes after the signal has been found.
      expect(time).toBeGreaterThanOrEqual(6);
      expect(time).toBeLessThan(16);
      expect(date).toBeGreaterThanOrEqual(time);
      expect(place).toBeGreaterThanOrEqual(Math.max(date, SHORTEST_EPHEMERIS_S));
      if (date > time) timeAlone++;
    }
    // Of five subframes only the first tells the week.
    expect(timeAlone).toBeGreaterThan(runs.length / 2);
  });

  it('satellites show as soon as they are tracked, but without direction until their orbit is known', () => {
    for (const run of runs) {
      const heard = firstAt(run, ({ report }) => report.inView.length > 0);
      expect(heard).toBeLessThanOrEqual(4);
      for (const { report, satellites } of run) {
        for (const { id, azimuthDeg, elevationDeg, cn0DbHz } of report.inView) {
          const orbit = satellites.find((satellite) => satellite.id === id)?.orbit;
          const knows = orbit !== 'none' && report.timeKnown && azimuthDeg !== null;
          expect(azimuthDeg !== null).toBe(knows);
          expect(elevationDeg === null).toBe(azimuthDeg === null);
          expect(cn0DbHz !== null || azimuthDeg !== null).toBe(true);
        }
        if (report.latitudeDeg === null) {
          expect(report.inView.every(({ azimuthDeg }) => azimuthDeg === null)).toBe(true);
        }
      }
    }
  });

  it('a position stands with its dilutions and satellites, or none of it does', () => {
    for (const { report } of runs.flat()) {
      const has = report.fix !== 'none';
      expect(report.status).toBe(has ? 'A' : 'V');
      expect(report.mode).toBe(has ? 'A' : 'N');
      expect(report.quality).toBe(has ? 1 : 0);
      expect(report.utc !== null).toBe(report.timeKnown);
      for (const value of [
        report.latitudeDeg,
        report.longitudeDeg,
        report.altitudeMslM,
        report.speedMps,
        report.hdop,
      ]) {
        expect(value !== null).toBe(has);
      }
      expect(report.vdop !== null).toBe(report.fix === '3d');
      expect(report.pdop !== null).toBe(report.fix === '3d');
      if (report.fix === '3d') expect(report.used.length).toBeGreaterThanOrEqual(4);
      if (report.fix === '2d') expect(report.used.length).toBe(3);
      if (!has) expect(report.used).toEqual([]);
    }
  });
});

describe('what a start remembers', () => {
  it('warm and hot know time and date, and where to look for satellites, from the first epoch on', () => {
    for (const start of ['warm', 'hot'] as const) {
      const { report, utc, satellites } = simulator({ start }).next();
      expect(report).toMatchObject({ timeKnown: true, dateKnown: true, utc, fix: 'none' });
      expect(report.inView.length).toBe(satellites.length);
      expect(report.inView.every(({ azimuthDeg, cn0DbHz }) => azimuthDeg !== null && cn0DbHz === null)).toBe(true);
    }
  });

  it('without any signal a warm receiver keeps time and predictions, a cold one stays blank, for as long as it lasts', () => {
    const silent = only(() => 0);
    const warm = epochs(simulator({ start: 'warm', hooks: silent }), 300).at(-1) as Epoch;
    expect(warm.report).toMatchObject({ fix: 'none', timeKnown: true, used: [] });
    expect(warm.report.inView.every(({ cn0DbHz }) => cn0DbHz === null)).toBe(true);
    const cold = epochs(simulator({ start: 'cold', hooks: silent }), 300).at(-1) as Epoch;
    expect(cold.report).toMatchObject({ fix: 'none', timeKnown: false, inView: [] });
  });

  it('an ephemeris serves four hours (IS-GPS-200, 20.3.4.4): hot in a tunnel for longer is warm at its end', () => {
    const hidden = 4 * 3600 * 1000 + 60_000;
    const surroundings = (atMs: number) => (atMs < hidden ? TUNNEL : OPEN_SKY);
    const run = simulator({ start: 'hot', epochMs: 10_000, hooks: { surroundings } });
    const fix = firstWhere(run, ({ report }) => report.fix !== 'none', 1460) as Epoch;
    expect(fix.atMs - hidden).toBeGreaterThanOrEqual(SHORTEST_EPHEMERIS_S * 1000);
    expect(fix.atMs - hidden).toBeLessThan(70_000);
    const shorter = simulator({
      start: 'hot',
      epochMs: 10_000,
      hooks: { surroundings: (atMs) => (atMs < 3 * 3600 * 1000 ? TUNNEL : OPEN_SKY) },
    });
    const soon = firstWhere(shorter, ({ report }) => report.fix !== 'none', 1460) as Epoch;
    expect(soon.atMs - 3 * 3600 * 1000).toBeLessThanOrEqual(10_000);
  });

  it('from four satellites the almanac of all others comes in 12.5 minutes (IS-GPS-200, 20.3.3.5.1), and not all at once', () => {
    const run = simulator({ start: 'cold', hooks: only(() => 4) });
    const all = epochs(run, ALMANAC_S + 60);
    const knownShare = ({ satellites }: Epoch) =>
      satellites.filter(({ orbit }) => orbit !== 'none').length / satellites.length;
    expect(knownShare(all[60] as Epoch)).toBeLessThan(0.7);
    expect(knownShare(all[ALMANAC_S / 2] as Epoch)).toBeLessThan(1);
    expect(knownShare(all.at(-1) as Epoch)).toBe(1);
    const { report, satellites } = all.at(-1) as Epoch;
    expect(report.inView.length).toBe(satellites.length);
    expect(report.inView.filter(({ cn0DbHz }) => cn0DbHz !== null).length).toBe(4);
  });
});
