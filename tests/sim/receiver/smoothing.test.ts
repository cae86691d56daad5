import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Enu, ecefFromGeodetic, geodeticFromEcef, LocalFrame } from '../../../src/base/frames.js';
import type { SmoothingSettings } from '../../../src/sim/receiver/settings.js';
import { type Reported, Smoothing } from '../../../src/sim/receiver/smoothing.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import { apartM, stream } from './measured.js';

const OFF: SmoothingSettings = { holdBelowMps: null, lowPassS: 0, deadReckoningS: 0 };
const HOME = { latitudeDeg: 51.5, longitudeDeg: -0.1, heightM: 80 };
const FRAME = new LocalFrame(HOME.latitudeDeg, HOME.longitudeDeg);
const ORIGIN = ecefFromGeodetic(HOME);
const STILL: Enu = { eastM: 0, northM: 0, upM: 0 };
/** The tangent plane falls away from the ground: by a centimetre in 360 m. */
const PLANE_M = 0.02;
/** Of sigma 2 m east and north: four of the two together. */
const DEPARTURE_M = 4 * Math.hypot(2, 2);

/** A solution so many metres from home, with a velocity, and deviations of 2, 2 and 3 m. */
function fix(offset: Enu, velocity: Enu = STILL): Solution {
  const by = FRAME.toEcef(offset);
  const position = { xM: ORIGIN.xM + by.xM, yM: ORIGIN.yM + by.yM, zM: ORIGIN.zM + by.zM };
  const { eastM: eastMps, northM: northMps, upM: upMps } = velocity;
  const sigma = { eastM: 2, northM: 2, upM: 3 };
  return { position, geodetic: geodeticFromEcef(position), eastMps, northMps, upMps, sigma } as Solution;
}

const at = (eastM: number, northM = 0, upM = 0): Enu => ({ eastM, northM, upM });

/** What is reported, in the local plane at home. */
function local(reported: Reported | null): Enu {
  const { xM, yM, zM } = (reported as Reported).position;
  return FRAME.toEnu(xM - ORIGIN.xM, yM - ORIGIN.yM, zM - ORIGIN.zM);
}

describe('nothing set', () => {
  it('the solution is reported as it is, and nothing without one', () => {
    const smoothing = new Smoothing(OFF);
    expect(smoothing.update(null, 1)).toBeNull();
    const solution = fix(at(12, 7, -3), at(1, 2, 3));
    const { position, geodetic, eastMps, northMps, upMps } = solution;
    const expected = { position, geodetic, eastMps, northMps, upMps, source: 'solution' };
    expect(smoothing.update(solution, 1)).toEqual(expected);
    expect(smoothing.update(null, 1)).toBeNull();
    expect(smoothing.update(solution, 1)).toEqual(expected);
  });
});

describe('hold at rest', () => {
  const settings = { ...OFF, holdBelowMps: 0.3 };

  it('freezes position and velocity while the Doppler speed is below the threshold', () => {
    const random = stream('hold');
    const smoothing = new Smoothing(settings);
    const first = smoothing.update(fix(at(0)), 1) as Reported;
    expect(first.source).toBe('held');
    for (let k = 0; k < 200; k++) {
      const wander = at(2 * Math.sin(k / 30), 2 * Math.cos(k / 40) - 2, 3 * Math.sin(k / 50));
      const slow = at(0.1 * random.uniform(), 0.1 * random.uniform(), 0.2);
      const now = smoothing.update(fix(wander, slow), 1) as Reported;
      expect(now.geodetic).toEqual(first.geodetic);
      expect([now.eastMps, now.northMps, now.upMps, now.source]).toEqual([0, 0, 0, 'held']);
    }
  });

  it('is released by speed at once, with the solution as it is', () => {
    const smoothing = new Smoothing(settings);
    for (let k = 0; k < 10; k++) smoothing.update(fix(at(0.01 * k)), 1);
    const moving = fix(at(3), at(0.3, 0.1));
    expect(smoothing.update(moving, 1)).toMatchObject({ geodetic: moving.geodetic, eastMps: 0.3, source: 'solution' });
    const stopped = fix(at(4), at(0.1, 0));
    expect(smoothing.update(stopped, 1)).toMatchObject({ geodetic: stopped.geodetic, eastMps: 0, source: 'held' });
  });

  it('does not stay wrong: drifting below the threshold, it follows in steps of at most four deviations', () => {
    const smoothing = new Smoothing(settings);
    let farthestM = 0;
    const places = new Set<number>();
    for (let k = 0; k < 1000; k++) {
      const now = smoothing.update(fix(at(0.1 * k), at(0.1)), 1);
      const { eastM } = local(now);
      farthestM = Math.max(farthestM, Math.abs(eastM - 0.1 * k));
      places.add(Math.round(eastM * 100));
    }
    expect(farthestM).toBeLessThanOrEqual(DEPARTURE_M + PLANE_M);
    expect(places.size).toBe(1 + Math.floor(99.9 / DEPARTURE_M));
  });

  it('nor in height, nor far away after a jump', () => {
    const smoothing = new Smoothing(settings);
    smoothing.update(fix(at(0)), 1);
    expect(Math.abs(local(smoothing.update(fix(at(0, 0, 11)), 1)).upM)).toBeLessThan(PLANE_M);
    expect(Math.abs(local(smoothing.update(fix(at(0, 0, 13)), 1)).upM - 13)).toBeLessThan(PLANE_M);
    expect(Math.abs(local(smoothing.update(fix(at(50_000)), 1)).eastM - 50_000)).toBeLessThan(PLANE_M);
  });

  it('a fix without height (2D) is held by its place alone', () => {
    const smoothing = new Smoothing(settings);
    const flat = (eastM: number) => ({ ...fix(at(eastM)), sigma: { eastM: 2, northM: 2, upM: null } });
    smoothing.update(flat(0), 1);
    expect(smoothing.update(flat(5), 1)?.source).toBe('held');
    expect(Math.abs(local(smoothing.update(flat(5), 1)).eastM)).toBeLessThan(PLANE_M);
  });
});

describe('low-pass', () => {
  const settings = { ...OFF, lowPassS: 10 };

  it('no lag on a straight line at constant speed', () => {
    const smoothing = new Smoothing(settings);
    for (let k = 0; k < 60; k++) {
      const now = local(smoothing.update(fix(at(20 * k, 10 * k, k), at(20, 10, 1)), 1));
      expect(Math.hypot(now.eastM - 20 * k, now.northM - 10 * k, now.upM - k)).toBeLessThan(0.2);
    }
  });

  it('nor while speeding up evenly, since the mean of two velocities counts', () => {
    const smoothing = new Smoothing(settings);
    for (let k = 0; k < 30; k++) {
      const now = local(smoothing.update(fix(at(k * k), at(2 * k)), 1));
      expect(Math.abs(now.eastM - k * k)).toBeLessThan(0.05);
    }
  });

  it('takes a step in as 1 - exp(-t / time constant), whatever the interval', () => {
    for (const dtS of [0.1, 1, 2]) {
      const smoothing = new Smoothing(settings);
      smoothing.update(fix(at(0)), dtS);
      let now = 0;
      for (let k = 0; k < Math.round(10 / dtS); k++) now = local(smoothing.update(fix(at(10)), dtS)).eastM;
      expect(Math.abs(now - 10 * (1 - Math.exp(-1)))).toBeLessThan(1e-6);
    }
  });

  it('white noise becomes quieter by the root of what the filter lets through', () => {
    const random = stream('low-pass');
    const smoothing = new Smoothing(settings);
    let [square, count] = [0, 0];
    for (let k = 0; k < 20_000; k++) {
      const now = local(smoothing.update(fix(at(2 * random.normal())), 1)).eastM;
      if (k < 100) continue;
      square += now * now;
      count++;
    }
    const share = 1 - Math.exp(-0.1);
    // Samples are correlated over 10: a tenth of them are independent.
    expect(Math.abs(square / count / (4 * (share / (2 - share))) - 1)).toBeLessThan(4.5 * Math.sqrt(20 / count));
  });

  it('a jump beyond ten deviations is taken at once', () => {
    const smoothing = new Smoothing(settings);
    for (let k = 0; k < 10; k++) smoothing.update(fix(at(0)), 1);
    expect(Math.abs(local(smoothing.update(fix(at(27)), 1)).eastM)).toBeLessThan(3);
    expect(Math.abs(local(smoothing.update(fix(at(200)), 1)).eastM - 200)).toBeLessThan(PLANE_M);
  });
});

describe('dead reckoning', () => {
  const settings = { ...OFF, deadReckoningS: 20 };

  it('carries speed, course and height on for the time set, marked as estimated, then ends', () => {
    const smoothing = new Smoothing(settings);
    smoothing.update(fix(at(0), at(12, -5, 0.4)), 1);
    for (let k = 1; k <= 20; k++) {
      const now = smoothing.update(null, 1) as Reported;
      expect([now.source, now.eastMps, now.northMps, now.upMps]).toEqual(['estimated', 12, -5, 0]);
      const { eastM, northM } = local(now);
      expect(Math.hypot(eastM - 12 * k, northM + 5 * k)).toBeLessThan(PLANE_M);
      expect(Math.abs(now.geodetic.heightM - 80)).toBeLessThan(1e-6);
      expect(apartM(now.position, ecefFromGeodetic(now.geodetic))).toBeLessThan(1e-6);
    }
    for (let k = 0; k < 5; k++) expect(smoothing.update(null, 1)).toBeNull();
    expect(smoothing.update(fix(at(7)), 1)?.source).toBe('solution');
  });

  it('ends after the same time at ten epochs a second', () => {
    const smoothing = new Smoothing(settings);
    smoothing.update(fix(at(0), at(1)), 0.1);
    let epochs = 0;
    while (smoothing.update(null, 0.1) !== null) epochs++;
    expect(epochs).toBe(200);
  });

  it('begins anew with each loss, and needs a fix first', () => {
    const smoothing = new Smoothing(settings);
    expect(smoothing.update(null, 1)).toBeNull();
    for (let round = 0; round < 3; round++) {
      expect(smoothing.update(fix(at(0), at(1)), 1)?.source).toBe('solution');
      for (let k = 0; k < 20; k++) expect(smoothing.update(null, 1)?.source).toBe('estimated');
      expect(smoothing.update(null, 1)).toBeNull();
      expect(smoothing.update(null, 1)).toBeNull();
    }
  });

  it('after it the solution counts at once, low-pass or not', () => {
    const smoothing = new Smoothing({ ...settings, lowPassS: 30 });
    smoothing.update(fix(at(0), at(10)), 1);
    for (let k = 0; k < 10; k++) smoothing.update(null, 1);
    const back = fix(at(85), at(8));
    expect(smoothing.update(back, 1)?.geodetic).toEqual(back.geodetic);
  });

  it('at rest it stays where it was held', () => {
    const smoothing = new Smoothing({ ...settings, holdBelowMps: 0.5 });
    const held = smoothing.update(fix(at(0), at(0.4)), 1) as Reported;
    smoothing.update(fix(at(1), at(0.4)), 1);
    const carried = smoothing.update(null, 1) as Reported;
    expect([carried.source, carried.eastMps]).toEqual(['estimated', 0]);
    expect(apartM(carried.position, held.position)).toBeLessThan(1e-6);
  });

  it('across the antimeridian and over the pole the place stays one', () => {
    for (const start of [
      { latitudeDeg: 0, longitudeDeg: 179.9999, heightM: 0 },
      { latitudeDeg: 89.9999, longitudeDeg: 10, heightM: 0 },
    ]) {
      const smoothing = new Smoothing(settings);
      const position = ecefFromGeodetic(start);
      smoothing.update({ ...fix(at(0), at(30, 30)), position, geodetic: start }, 1);
      for (let k = 0; k < 20; k++) {
        const { geodetic } = smoothing.update(null, 1) as Reported;
        expect(Math.abs(geodetic.longitudeDeg)).toBeLessThanOrEqual(180);
        expect(Math.abs(geodetic.latitudeDeg)).toBeLessThanOrEqual(90);
      }
    }
  });
});

describe('reset', () => {
  it('forgets: nothing is carried on, held or filtered from before', () => {
    const smoothing = new Smoothing({ holdBelowMps: 0.3, lowPassS: 10, deadReckoningS: 20 });
    smoothing.update(fix(at(0)), 1);
    smoothing.reset();
    expect(smoothing.update(null, 1)).toBeNull();
    const here = fix(at(2));
    expect(smoothing.update(here, 1)?.geodetic).toEqual(here.geodetic);
  });
});

describe('any settings and any sequence', () => {
  it('reports numbers, at most ten deviations from a solution that is there', () => {
    const settings = fc.record({
      holdBelowMps: fc.option(fc.constantFrom(0.1, 0.5, 2)),
      lowPassS: fc.constantFrom(0, 1, 30),
      deadReckoningS: fc.constantFrom(0, 5, 60),
    });
    const metres = fc.double({ min: -300, max: 300, noNaN: true });
    const speed = fc.double({ min: -3, max: 3, noNaN: true });
    const step = fc.option(fc.tuple(metres, metres, metres, speed, speed), { freq: 3 });
    fc.assert(
      fc.property(settings, fc.array(step, { maxLength: 40 }), (some, steps) => {
        const smoothing = new Smoothing(some);
        for (const one of steps) {
          const solution = one === null ? null : fix(at(one[0], one[1], one[2]), at(one[3], one[4]));
          const now = smoothing.update(solution, 1);
          if (solution !== null) expect(now).not.toBeNull();
          if (now === null) continue;
          const { position, geodetic, eastMps, northMps, upMps } = now;
          const { latitudeDeg, longitudeDeg, heightM } = geodetic;
          const sum = latitudeDeg + longitudeDeg + heightM + eastMps + northMps + upMps;
          expect(Number.isFinite(sum)).toBe(true);
          expect(apartM(position, ecefFromGeodetic(geodetic))).toBeLessThan(1e-5);
          if (solution === null) continue;
          expect(apartM(position, solution.position)).toBeLessThan(10 * Math.hypot(2, 2, 3) + 0.1);
        }
      }),
    );
  });
});
