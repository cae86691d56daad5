import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import { OPEN_SKY, type Surroundings } from '../../../src/sim/surroundings.js';
import { EASTWARD, epochs, errorOf, offM, rms, simulator } from './still.js';

const TUNNEL: Surroundings = { kind: 'tunnel' };

const PLAIN = { holdBelowMps: null, lowPassS: 0, deadReckoningS: 0 };
const between = (fromS: number, untilS: number) => (atMs: number) =>
  atMs >= fromS * 1000 && atMs < untilS * 1000 ? TUNNEL : OPEN_SKY;

describe('dead reckoning in a tunnel', () => {
  const smoothing = { ...PLAIN, deadReckoningS: 12 };
  const hooks = { surroundings: between(60, 100) };
  const all = epochs(simulator({ trajectory: EASTWARD, receiver: { smoothing }, hooks }), 130);

  it('carries the position on for the time set, as quality 6 and mode E, and no longer', () => {
    for (const { report } of all.slice(5, 60)) expect(report).toMatchObject({ quality: 1, mode: 'A', fix: '3d' });
    for (const { report } of all.slice(60, 72)) {
      expect(report).toMatchObject({ quality: 6, mode: 'E', status: 'A', fix: '2d', systemModes: { gps: 'E' } });
      expect(report).toMatchObject({ used: [], residualsM: [], hdop: null, pdop: null, vdop: null, deviation: null });
    }
    for (const { report } of all.slice(72, 100)) {
      expect(report).toMatchObject({ quality: 0, mode: 'N', status: 'V', fix: 'none', latitudeDeg: null });
      expect(report.timeKnown).toBe(true);
    }
    // Found again within a second of the tunnel’s end.
    for (const { report } of all.slice(101)) expect(report).toMatchObject({ quality: 1, mode: 'A', fix: '3d' });
  });

  it('straight on with the last speed, course and height: it is off by what the last speed was', () => {
    const last = all[59] as Epoch;
    const startM = errorOf(last);
    all.slice(60, 72).forEach((epoch, i) => {
      const { eastM, northM } = errorOf(epoch);
      // The speed's error is centimetres a second: here five standard deviations of 5 cm/s.
      const allowedM = 0.25 * (i + 1);
      expect(Math.abs(eastM - startM.eastM)).toBeLessThan(allowedM);
      expect(Math.abs(northM - startM.northM)).toBeLessThan(allowedM);
      expect(epoch.report.speedMps).toBe(last.report.speedMps);
      expect(Math.abs((epoch.report.courseDeg as number) - (last.report.courseDeg as number))).toBeLessThan(0.001);
    });
  });

  it('is not there where the module does not do it', () => {
    const plain = epochs(simulator({ trajectory: EASTWARD, hooks, receiver: { smoothing: PLAIN } }), 70);
    for (const { report } of plain.slice(60)) expect(report).toMatchObject({ quality: 0, mode: 'N', fix: 'none' });
  });

  it('a shorter tunnel is bridged', () => {
    const short = { surroundings: between(60, 68) };
    const run = epochs(simulator({ trajectory: EASTWARD, receiver: { smoothing }, hooks: short }), 80);
    expect(run.slice(5).every(({ report }) => report.fix !== 'none')).toBe(true);
    for (const epoch of run.slice(60, 80)) expect(offM(epoch)).toBeLessThan(15);
  });

  it('at 10 Hz it lasts as long', () => {
    const fast = { ...PLAIN, deadReckoningS: 3 };
    const wish = { trajectory: EASTWARD, epochMs: 100, receiver: { smoothing: fast } };
    const run = epochs(simulator({ ...wish, hooks: { surroundings: between(10, 20) } }), 150);
    expect(run.slice(100, 150).filter(({ report }) => report.mode === 'E').length).toBe(30);
  });
});

describe('hold at rest', () => {
  it('gives the same coordinates at every epoch, speed 0 and no course', () => {
    const held = epochs(simulator({ receiver: { smoothing: { ...PLAIN, holdBelowMps: 0.5 } } }), 300).slice(3);
    const places = new Set(held.map(({ report }) => `${report.latitudeDeg} ${report.longitudeDeg}`));
    const plain = epochs(simulator(), 300).slice(3);
    expect(new Set(plain.map(({ report }) => `${report.latitudeDeg}`)).size).toBe(plain.length);
    // It follows only what departs by several standard deviations.
    expect(places.size).toBeLessThanOrEqual(3);
    for (const { report } of held) {
      expect(report).toMatchObject({ speedMps: 0, courseDeg: null, fix: '3d', quality: 1 });
      expect(report.deviation).not.toBeNull();
    }
  });

  it('does not hold what moves', () => {
    const smoothing = { ...PLAIN, holdBelowMps: 0.5 };
    const wish = { trajectory: EASTWARD, seed: 3 };
    const moving = epochs(simulator({ ...wish, receiver: { smoothing } }), 60).slice(3);
    const plain = epochs(simulator(wish), 60).slice(3);
    expect(moving.map(({ report }) => report.longitudeDeg)).toEqual(plain.map(({ report }) => report.longitudeDeg));
  });
});

describe('a low-pass on the position', () => {
  const stepsOf = (all: readonly Epoch[]) =>
    all.slice(1).map((epoch, i) => {
      const [now, before] = [errorOf(epoch), errorOf(all[i] as Epoch)];
      return Math.hypot(now.eastM - before.eastM, now.northM - before.northM);
    });

  it('takes away what changes fast, and no lag comes of it on the way', () => {
    const wish = { trajectory: EASTWARD, seed: 8 };
    const filtered = epochs(simulator({ ...wish, receiver: { smoothing: { ...PLAIN, lowPassS: 10 } } }), 300).slice(10);
    const plain = epochs(simulator(wish), 300).slice(10);
    expect(rms(stepsOf(filtered))).toBeLessThan(0.5 * rms(stepsOf(plain)));
    const meanEastM = (all: readonly Epoch[]) => all.reduce((sum, e) => sum + errorOf(e).eastM, 0) / all.length;
    // Without the last velocity 10 s of lag would be 200 m.
    expect(Math.abs(meanEastM(filtered) - meanEastM(plain))).toBeLessThan(1);
    expect(rms(filtered.map(offM))).toBeLessThan(rms(plain.map(offM)) + 0.5);
  });
});
