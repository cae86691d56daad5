import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic, type Geodetic, LocalFrame } from '../../../src/base/frames.js';
import { RandomStreams } from '../../../src/base/random.js';
import type { Measurement } from '../../../src/sim/receiver/measurement.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import { Solver } from '../../../src/sim/receiver/solver.js';
import { anywhere, apartM, measured, stream } from './measured.js';
import {
  case47,
  cases,
  covarianceOf,
  dense,
  evenly,
  isGood,
  MOTION,
  near,
  noisy,
  PLACE,
  shuffled,
  skyAt,
} from './skies.js';

/** Ranges of 40,000 km are held to 7 nm, which a dilution of up to 30 makes a fifth of a micrometre. */
const MICROMETRE_M = 1e-6;
/** A start half a metre off turns velocities of satellites by 0.1 mm/s, and dilution makes more of it. */
const RATE_MPS = 1e-3;
/** Two ways to invert the same matrix, taken within half a metre of each other, some 1e-8 of the distances. */
const ALIKE = 1e-6;
/** A range of 40,000 km is held to 7 nm, and a place that differs in its last digit rounds each of them anew. */
const ROUNDING_M = 7.5e-9;

/** Of velocity and drift; of east and north alone, where the place is not so near a pole that they turn at once. */
function velocityErrorMps(found: Solution, { latitudeDeg, longitudeDeg }: Geodetic): number {
  const { eastMps, northMps, upMps, driftMps } = MOTION;
  const frame = new LocalFrame(latitudeDeg, longitudeDeg);
  const { xM, yM, zM } = frame.toEcef({ eastM: eastMps, northM: northMps, upM: upMps });
  const { xMps, yMps, zMps } = found.velocity;
  const whole = Math.hypot(xMps - xM, yMps - yM, zMps - zM, found.clockDriftMps - driftMps);
  if (Math.abs(latitudeDeg) > 89.999_999) return whole;
  return Math.max(whole, Math.hypot(found.eastMps - eastMps, found.northMps - northMps, found.upMps - upMps));
}

/** Every number in a value, however deep. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return value === null || typeof value !== 'object' ? [] : Object.values(value).flatMap(numbersIn);
}

describe('exact ranges, 4 to 60 satellites of 1 to 7 systems with clock offsets of 10 to 1000 m', () => {
  it('give place and clocks within 1 um, and velocity and drift, from a guess and from none', () => {
    const solver = new Solver();
    const counts = new Set<number>();
    let solved = 0;
    fc.assert(
      fc.property(cases, (one) => {
        if (!isGood(one)) return;
        solved++;
        const { all, at, columns, clocksM } = one;
        counts.add(all.length);
        for (const guess of [near(at), null]) {
          const found = solver.solve(all, all.length, columns, guess, null);
          expect(found).not.toBeNull();
          const { position, clockBiasesM, clockBiasM, redundancy } = found as Solution;
          expect(apartM(position, ecefFromGeodetic(at))).toBeLessThan(MICROMETRE_M);
          expect(clockBiasesM.length).toBe(columns);
          for (const [c, biasM] of clockBiasesM.entries()) {
            expect(Math.abs(biasM - clocksM[c]!)).toBeLessThan(MICROMETRE_M);
          }
          expect(clockBiasM).toBe(clockBiasesM[0]);
          expect(redundancy).toBe(all.length - columns - 3);
          expect(velocityErrorMps(found as Solution, at)).toBeLessThan(RATE_MPS);
        }
      }),
      { numRuns: 700 },
    );
    expect(solved).toBeGreaterThan(300);
    expect(Math.min(...counts)).toBeLessThan(6);
    expect(Math.max(...counts)).toBeGreaterThan(45);
  });

  it('with a height that is held: the place within 1 um, no vertical figures', () => {
    const solver = new Solver();
    fc.assert(
      fc.property(cases, (one) => {
        if (!isGood(one)) return;
        const { all, at, columns } = one;
        const still = all.map((measurement) => ({ ...measurement }));
        const solutions = [
          solver.solve(still, still.length, columns, near(at), at.heightM),
          solver.solveFromNothing(still, still.length, columns, at.heightM),
        ];
        for (const found of solutions) {
          expect(found).not.toBeNull();
          const { position, vdop, pdop, sigma, covariance, upMps, redundancy } = found as Solution;
          expect(apartM(position, ecefFromGeodetic(at))).toBeLessThan(MICROMETRE_M);
          expect([vdop, pdop, sigma.upM, covariance.upM2, covariance.eastUpM2, covariance.northUpM2]).toEqual(
            new Array(6).fill(null),
          );
          expect(upMps).toBe(0);
          expect(redundancy).toBe(all.length - columns - 2);
        }
      }),
      { numRuns: 400 },
    );
  });

  it('two satellites more than clocks and a held height: from a guess at hand, the place within 1 um', () => {
    const solver = new Solver();
    let solved = 0;
    fc.assert(
      fc.property(cases, (one) => {
        const { all, columns } = dense(one.all.slice(0, one.columns + 2));
        const few = { ...one, all, columns };
        if (columns === 0 || all.length !== columns + 2) return;
        const q = covarianceOf(few, false, true);
        if (!(q[0]![0]! + q[1]![1]! < 100)) return;
        solved++;
        const found = solver.solve(all, all.length, columns, near(one.at), one.at.heightM);
        expect(apartM((found as Solution).position, ecefFromGeodetic(one.at))).toBeLessThan(MICROMETRE_M);
        expect(found?.redundancy).toBe(0);
      }),
      { numRuns: 600 },
    );
    expect(solved).toBeGreaterThan(100);
  });
});

describe('three satellites, a held height and no idea of the place', () => {
  it('of the places that fit, the one where the antenna is slowest: nearly always the true one', () => {
    const solver = new Solver();
    let right = 0;
    let all = 0;
    for (let draw = 0; draw < 300; draw++) {
      const stream = new RandomStreams(draw).stream('place');
      const at = {
        latitudeDeg: 170 * stream.uniform() - 85,
        longitudeDeg: 360 * stream.uniform() - 180,
        heightM: 500 * stream.uniform(),
      };
      const motion = { eastMps: 20, northMps: -15, driftMps: 30 };
      const sky = skyAt({ at, tS: 604_800 * stream.uniform(), systems: ['gps'], maskDeg: 5, ...motion });
      const three = shuffled(sky, draw).slice(0, 3);
      const q = covarianceOf({ all: three, at, columns: 1, clocksM: [] }, false, true);
      if (!(Math.sqrt(q[0]![0]! + q[1]![1]!) < 10)) continue;
      all++;
      const found = solver.solveFromNothing(three, 3, 1, at.heightM);
      expect(found).not.toBeNull();
      if (apartM((found as Solution).position, ecefFromGeodetic(at)) < MICROMETRE_M) right++;
      // What the caller reads next is of the place that was chosen.
      for (let i = 0; i < 3; i++) expect(Math.abs(solver.residualM(i))).toBeLessThan(MICROMETRE_M);
    }
    expect(all).toBeGreaterThan(200);
    expect(right / all).toBeGreaterThan(0.97);
  });
});

describe('no solution is null, and never a number that is none', () => {
  it('too few, or no system at all', () => {
    const { all } = case47(['gps'], 0);
    const solver = new Solver();
    for (let count = 0; count < 4; count++) expect(solver.solve(all, count, 1, null, null)).toBeNull();
    for (let count = 0; count < 3; count++) expect(solver.solve(all, count, 1, null, PLACE.heightM)).toBeNull();
    expect(solver.solve(all, 4, 1, null, null)).not.toBeNull();
    expect(solver.solve(all, 3, 1, near(PLACE), PLACE.heightM)).not.toBeNull();
    expect(solver.solve(all, 4, 2, null, null)).toBeNull();
    expect(solver.solve(all, all.length, 0, null, null)).toBeNull();
    expect(solver.solveFromNothing(all, 2, 1, 0)).toBeNull();
  });

  it('singular: one satellite four times, two places, all in one plane with the antenna', () => {
    const { all, at } = case47(['gps'], 7000);
    const solver = new Solver();
    const [a, b, c] = all as [Measurement, Measurement, Measurement];
    for (const guess of [near(at), null]) {
      expect(solver.solve([a, a, a, a, a], 5, 1, guess, null)).toBeNull();
      expect(solver.solve([a, b, a, b, a, b], 6, 1, guess, null)).toBeNull();
      expect(solver.solve([a, b, c, a, b, c], 6, 1, guess, null)).toBeNull();
    }
    const { xM, yM, zM } = ecefFromGeodetic(at);
    const plane = [0.2, 0.6, 1.1, 1.9, 2.4].map((angle) => {
      const [x, z] = [2.2e7 * Math.cos(angle), 2.2e7 * Math.sin(angle)];
      return { ...a, state: { ...a.state, xM: xM + x, yM, zM: zM + z }, pseudorangeM: 2.2e7 };
    });
    expect(solver.solve(plane, 5, 1, { xM, yM, zM }, null)).toBeNull();
  });

  it('velocity weighs range rates by their own standard deviations, whatever those of the ranges are', () => {
    const random = stream('rates');
    const at = anywhere(random);
    const all = measured(random, { at, counts: [9], clocksM: [0] });
    const bad = all[4] as Measurement;
    bad.rangeRateMps += 1;
    const speedMps = () => {
      const { xMps, yMps, zMps } = (new Solver().solve(all, 9, 1, ecefFromGeodetic(at), null) as Solution).velocity;
      return Math.hypot(xMps, yMps, zMps);
    };
    expect(speedMps()).toBeGreaterThan(0.01);
    bad.sigmaM = 1e4;
    expect(speedMps()).toBeGreaterThan(0.01);
    // A weight of 1e-10 of the others'.
    bad.rangeRateSigmaMps = 5000;
    expect(speedMps()).toBeLessThan(1e-6);
  });

  it('singular: all at one elevation, where height cannot be told from the clock', () => {
    const { xM, yM, zM } = ecefFromGeodetic({ latitudeDeg: 90, longitudeDeg: 0, heightM: 0 });
    const ring: Measurement[] = [0, 1, 2, 3, 4, 5].map((turn) => ({
      state: { xM: 2e7 * Math.cos(turn), yM: 2e7 * Math.sin(turn), zM: zM + 1e7, vxMps: 0, vyMps: 0, vzMps: 0 },
      column: 0,
      pseudorangeM: Math.hypot(2e7, 1e7),
      rangeRateMps: 0,
      sigmaM: 1,
      rangeRateSigmaMps: 1,
    }));
    expect(new Solver().solve(ring, 6, 1, { xM, yM, zM }, null)).toBeNull();
    // Metres in 20,000 km, which would make a dilution of millions, are no geometry either.
    const nearly = ring.map((one, i) => ({ ...one, state: { ...one.state, zM: one.state.zM + ((i * i) % 7) } }));
    expect(new Solver().solve(nearly, 6, 1, { xM, yM, zM }, null)).toBeNull();
    expect(new Solver().solve(ring, 6, 1, { xM, yM, zM }, 0)).not.toBeNull();
  });

  it('one pseudorange of +-1e9 m, or all of them', () => {
    const solver = new Solver();
    const { all, columns, at } = case47(['gps', 'galileo'], 3600);
    for (const guess of [near(at), null]) {
      for (const absurdM of [1e9, -1e9, 1e300, -1e300]) {
        for (let i = 0; i < all.length; i++) {
          const spoilt = all.map((one, k) => (k === i ? { ...one, pseudorangeM: absurdM } : one));
          expect(solver.solve(spoilt, all.length, columns, guess, null)).toBeNull();
        }
      }
      const mixed = all.map((one, k) => ({ ...one, pseudorangeM: k % 2 === 0 ? 1e9 : -1e9 }));
      expect(solver.solve(mixed, all.length, columns, guess, null)).toBeNull();
    }
  });

  it.each([
    ['pseudorangeM', [Number.NaN, Infinity, -Infinity]],
    ['rangeRateMps', [Number.NaN, Infinity, -Infinity]],
    ['sigmaM', [Number.NaN, Infinity, 0]],
  ] as const)('%s that is no number', (key, values) => {
    const solver = new Solver();
    const { all, columns, at } = case47(['gps', 'galileo'], 3600);
    for (const value of values) {
      for (const heldM of [null, at.heightM]) {
        const spoilt = all.map((one, k) => (k === 3 ? { ...one, [key]: value } : one));
        expect(solver.solve(spoilt, all.length, columns, near(at), heldM)).toBeNull();
        expect(solver.solve(spoilt, all.length, columns, null, heldM)).toBeNull();
      }
    }
  });

  it('a satellite, a guess or a height that is no number; and the solver works on after it', () => {
    const solver = new Solver();
    const { all, columns, at } = case47(['gps', 'galileo'], 3600);
    const count = all.length;
    for (const key of ['xM', 'yM', 'zM', 'vxMps', 'vyMps', 'vzMps'] as const) {
      const spoilt = all.map((one, k) => (k === 0 ? { ...one, state: { ...one.state, [key]: Number.NaN } } : one));
      expect(solver.solve(spoilt, count, columns, near(at), null)).toBeNull();
    }
    expect(solver.solve(all, count, columns, near(at), Number.NaN)).toBeNull();
    const lost = { xM: Number.NaN, yM: 0, zM: 0 };
    const found = solver.solve(all, count, columns, lost, null);
    expect(apartM((found as Solution).position, ecefFromGeodetic(at))).toBeLessThan(MICROMETRE_M);
  });

  it('any numbers in any place: null, or a solution of finite numbers', () => {
    const solver = new Solver();
    const value = fc.oneof(evenly(-1e9, 1e9), fc.double(), fc.constantFrom(0, 1e-320, Number.NaN, Infinity));
    const spoiling = fc.record({
      at: fc.nat(40),
      key: fc.constantFrom('pseudorangeM', 'rangeRateMps', 'sigmaM', 'xM', 'zM', 'vyMps'),
      value,
    });
    const { all, columns } = case47(['gps', 'galileo'], 9000);
    fc.assert(
      fc.property(fc.array(spoiling, { minLength: 1, maxLength: 8 }), fc.boolean(), (spoilings, isGuessed) => {
        const spoilt = all.map((one) => ({ ...one, state: { ...one.state } }));
        for (const { at, key, value: wrong } of spoilings) {
          const one = spoilt[at % spoilt.length]!;
          if (key in one) Object.assign(one, { [key]: wrong });
          else Object.assign(one.state, { [key]: wrong });
        }
        const found = solver.solve(spoilt, spoilt.length, columns, isGuessed ? near(PLACE) : null, null);
        expect(numbersIn(found).every(Number.isFinite)).toBe(true);
      }),
      { numRuns: 1500 },
    );
  });
});

describe('what makes no difference', () => {
  it('the order of the satellites and the number of a system’s column, as far as ranges have digits', () => {
    const solver = new Solver();
    fc.assert(
      fc.property(cases, fc.integer({ min: 0, max: 1e6 }), (one, seed) => {
        if (!isGood(one)) return;
        const { at, columns } = one;
        const all = noisy(one.all, seed);
        const names = shuffled([...Array(columns).keys()], seed);
        const other = shuffled(all, seed + 1).map((measured) => ({ ...measured, column: names[measured.column]! }));
        const a = solver.solve(all, all.length, columns, near(at), null) as Solution;
        const b = solver.solve(other, all.length, columns, near(at), null) as Solution;
        expect(apartM(a.position, b.position)).toBeLessThan(ROUNDING_M * Math.max(1, a.pdop as number));
        for (const [c, name] of names.entries()) {
          expect(Math.abs(a.clockBiasesM[c]! - b.clockBiasesM[name]!)).toBeLessThan(MICROMETRE_M);
        }
        expect(Math.abs(a.hdop - b.hdop)).toBeLessThan(ALIKE * a.hdop);
        expect(Math.abs(a.chiSquare - b.chiSquare)).toBeLessThan(ALIKE * (1 + a.chiSquare));
      }),
      { numRuns: 600 },
    );
  });

  it('what was solved before, measurements beyond the count, and hundreds of them', () => {
    const one = case47(['gps', 'galileo'], 1800);
    const many = Array.from({ length: 20 }, () => one.all).flat();
    const used = new Solver();
    const count = one.all.length;
    const first = new Solver().solve(one.all, count, one.columns, near(PLACE), null);
    const wide = used.solve(many, many.length, one.columns, near(PLACE), null) as Solution;
    expect(many.length).toBeGreaterThan(256);
    expect(apartM(wide.position, ecefFromGeodetic(PLACE))).toBeLessThan(MICROMETRE_M);
    expect(used.solve(many, count, one.columns, near(PLACE), null)).toEqual(first);
  });
});
