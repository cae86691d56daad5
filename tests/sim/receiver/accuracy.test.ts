import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import { buildTrajectory } from '../../../src/sim/trajectory/build-trajectory.js';
import { inverse, normalOf } from '../../authorities/dop.js';
import { type PublishedRange, publishedRange } from './published-errors.js';
import { epochs, errorOf, numbersIn, START, simulator, type Wish } from './still.js';

const MILLIMETRE_M = 0.001;
const MILLIMETRE_MPS = 0.001;
/** A millimetre a second across 5 m/s. */
const COURSE_DEG = 0.02;
/** Independent draws of the error statistics: a seed, a time and a place each. */
const DRAWS = 1500;
/** Five standard deviations of a variance estimated from so many normal values. */
const VARIANCE_TOLERANCE = 5 * Math.sqrt(2 / DRAWS);
const MEAN_TOLERANCE = 5 / Math.sqrt(DRAWS);
/** Directions are seen from where the receiver thinks it is. */
const FORMAL = 0.01;
/** HDOP times range error is a rule of thumb: weights and unequal ranges are left out of it. */
const RULE_OF_THUMB = 0.25;

/** Only code noise (2.5 s) changes much within a second; multipath takes a minute, all else longer. */
const SMOOTH = 0.15;
/** Of a root mean square of steps that follow upon each other within 2.5 s, 1440 independent ones an hour: 5 sigma. */
const STEP_TOLERANCE = 5 / Math.sqrt(2 * 1440);
/** Farther than so many standard deviations a normal step is once in 10,000 hours. */
const LARGEST_STEP = 5.6;

const EXTREMES: ReadonlyArray<
  readonly [name: string, latitudeDeg: number, longitudeDeg: number, altitudeMslM: number]
> = [
  ['north pole', 90, 0, 0],
  ['south pole', -90, 45, 2800],
  ['beside the north pole', 89.99999, -120, 10],
  ['antimeridian', -16, 180, 5],
  ['antimeridian, counted west', 52, -180, 5],
  ['equator at 0 E', 0, 0, 0],
  ['9000 m up', 27.99, 86.93, 9000],
  ['400 m below the sea’s level', 31.5, 35.5, -400],
];

describe('without errors the report is the truth', () => {
  it.each(EXTREMES)('at rest, %s (%d, %d, %d m): within 1 mm', (_, latitudeDeg, longitudeDeg, altitudeMslM) => {
    const run = epochs(simulator({ withErrors: false, at: { latitudeDeg, longitudeDeg, altitudeMslM } }), 120);
    for (const epoch of run.slice(2)) {
      expect(epoch.report.fix).toBe('3d');
      const { eastM, northM, upM } = errorOf(epoch);
      expect(Math.hypot(eastM, northM, upM)).toBeLessThan(MILLIMETRE_M);
      expect(epoch.report.speedMps).toBeLessThan(MILLIMETRE_MPS);
      expect(epoch.report.courseDeg).toBeNull();
    }
  });

  it('on the way: place, speed, course and climb, through turns, up and down, across the antimeridian', () => {
    const trajectory = buildTrajectory([
      { kind: 'hold', durationS: 10, at: { latitudeDeg: -16.79, longitudeDeg: 179.997, altitudeMslM: 20 } },
      {
        kind: 'go',
        via: [
          { latitudeDeg: -16.79, longitudeDeg: -179.995, altitudeMslM: 120 },
          { latitudeDeg: -16.797, longitudeDeg: -179.99, altitudeMslM: 60 },
        ],
        speedMps: 15,
        accelerationMps2: 1,
        yawRateDegps: 10,
      },
    ]);
    const run = simulator({ withErrors: false, trajectory });
    let moving = 0;
    let climbing = 0;
    for (const epoch of epochs(run, 150).slice(2)) {
      const { report, truth } = epoch;
      const { eastM, northM, upM } = errorOf(epoch);
      expect(Math.hypot(eastM, northM, upM)).toBeLessThan(MILLIMETRE_M);
      expect(Math.abs((report.speedMps as number) - truth.speedMps)).toBeLessThan(MILLIMETRE_MPS);
      expect(Math.abs((report.altitudeMslM as number) - truth.altitudeMslM)).toBeLessThan(MILLIMETRE_M);
      if (truth.speedMps < 5) continue;
      const turn = Math.abs((((report.courseDeg as number) - truth.courseDeg + 540) % 360) - 180);
      expect(turn).toBeLessThan(COURSE_DEG);
      moving++;
      if (Math.abs(truth.climbMps) > 0.5) climbing++;
    }
    expect(moving).toBeGreaterThan(60);
    expect(climbing).toBeGreaterThan(30);
  });

  it('the solution’s vertical speed is the climb', () => {
    const motion = { latitudeDeg: 45, longitudeDeg: 7, speedMps: 20, courseDeg: 90, climbMps: 3 };
    const trajectory = {
      durationS: Infinity,
      at: (tS: number) => ({ ...motion, longitudeDeg: 7 + tS * (20 / 78_847), altitudeMslM: 500 + 3 * tS }),
      surroundingsAt: () => null,
      stretches: [],
    };
    const run = simulator({ withErrors: false, trajectory });
    for (const { truth } of epochs(run, 20).slice(3)) {
      const upMps = run.receiver.solution?.upMps;
      expect(upMps).toBeDefined();
      expect(Math.abs(truth.climbMps - 3)).toBeLessThan(0.1);
    }
    expect(Math.abs((run.receiver.solution?.upMps as number) - run.next().truth.climbMps)).toBeLessThan(0.01);
  });

  it('two satellites less or a changed mask do not move it', () => {
    const run = simulator({ withErrors: false, receiver: { elevationMaskDeg: 25 } });
    for (const epoch of epochs(run, 60).slice(2)) expect(Math.abs(errorOf(epoch).eastM)).toBeLessThan(MILLIMETRE_M);
  });
});

describe('errors, over 1500 seeds with a time and a place of their own', () => {
  const draws = Array.from({ length: DRAWS }, (_, i) => draw(i));

  /** One fix, a second after a hot start: independent of every other draw. */
  function draw(i: number) {
    const at: Wish['at'] = {
      latitudeDeg: (Math.asin(((i * 0.618) % 1) * 1.9 - 0.95) * 180) / Math.PI,
      longitudeDeg: ((i * 137.5) % 360) - 180,
    };
    const ranges: PublishedRange[] = [];
    const hooks = rangesInto(ranges, i * 613);
    const run = simulator({ seed: 1000 + i, startS: i * 613, at, hooks });
    const epoch = epochs(run, 2)[1] as Epoch;
    const { sigma } = run.receiver.solution as NonNullable<typeof run.receiver.solution>;
    return { epoch, sigma, error: errorOf(epoch), used: ranges.filter(({ id }) => epoch.report.used.includes(id)) };
  }

  const fixed = draws.filter(({ epoch }) => epoch.report.fix === '3d');

  it('nearly all have a 3D fix', () => {
    expect(fixed.length).toBeGreaterThan(0.97 * DRAWS);
  });

  it.each(['eastM', 'northM', 'upM'] as const)(
    '%s over its formal standard deviation has mean 0 and variance 1',
    (axis) => {
      const ratios = fixed.map(({ error, sigma }) => error[axis] / (sigma[axis] as number));
      const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length;
      const variance = ratios.reduce((sum, ratio) => sum + ratio * ratio, 0) / ratios.length;
      expect(Math.abs(mean)).toBeLessThan(MEAN_TOLERANCE);
      expect(Math.abs(variance - 1)).toBeLessThan(VARIANCE_TOLERANCE);
      const beyondTwo = ratios.filter((ratio) => Math.abs(ratio) > 2).length / ratios.length;
      // A normal deviate is beyond two standard deviations in 4.55 % of cases.
      expect(Math.abs(beyondTwo - 0.0455)).toBeLessThan(5 * Math.sqrt((0.0455 * 0.9545) / ratios.length));
    },
  );

  it('the formal standard deviation is what satellites’ directions and published range errors give, within 1 %', () => {
    for (const { sigma, used } of fixed.slice(0, 200)) {
      const q = covarianceOf(used);
      for (const [i, formalM] of [sigma.eastM, sigma.northM, sigma.upM as number].entries()) {
        expect(Math.abs(formalM / Math.sqrt(q[i]![i]!) - 1)).toBeLessThan(FORMAL);
      }
    }
  });

  it('horizontal error is HDOP times range error, within 25 %', () => {
    let [square, expected] = [0, 0];
    for (const { epoch, error, used } of fixed) {
      square += error.eastM ** 2 + error.northM ** 2;
      const meanSquare = used.reduce((sum, { varianceM2 }) => sum + varianceM2, 0) / used.length;
      expected += (epoch.report.hdop as number) ** 2 * meanSquare;
    }
    expect(Math.abs(Math.sqrt(square / expected) - 1)).toBeLessThan(RULE_OF_THUMB);
    // What a single-band receiver does in open sky: common practice.
    const rmsM = Math.sqrt(square / fixed.length);
    expect(rmsM).toBeGreaterThan(1);
    expect(rmsM).toBeLessThan(5);
  });
});

/** A hook that keeps the last epoch's GPS ranges. @param startS seconds after {@link START} */
function rangesInto(into: PublishedRange[], startS: number): NonNullable<Wish['hooks']> {
  return {
    signals: (signals, atMs, antenna) => {
      const towS = START.towS + startS + atMs / 1000;
      into.length = 0;
      for (const signal of signals) into.push(publishedRange(signal, antenna, towS));
    },
  };
}

/** Covariance of east, north, up and one clock from ranges by their weights. */
function covarianceOf(used: readonly PublishedRange[]): number[][] {
  return inverse(
    normalOf(
      used.map(({ direction }) => [...direction, 1]),
      used.map(({ varianceM2 }) => 1 / varianceM2),
    ),
  );
}

/** Mean square of the horizontal step within a second that noise and reflections of these ranges make, m2. */
function stepSquare(used: readonly PublishedRange[]): number {
  const q = covarianceOf(used);
  return used.reduce((sum, { direction, varianceM2, noiseM2, multipathM2 }) => {
    const row = [...direction, 1];
    const pull = (axis: number) => row.reduce((to, value, k) => to + q[axis]![k]! * value, 0) / varianceM2;
    const changeM2 = 2 * (noiseM2 * (1 - Math.exp(-1 / 2.5)) + multipathM2 * (1 - Math.exp(-1 / 60)));
    return sum + (pull(0) ** 2 + pull(1) ** 2) * changeM2;
  }, 0);
}

describe('errors over time', () => {
  const ranges: PublishedRange[] = [];
  const kept: PublishedRange[][] = [];
  const run = simulator({ seed: 4, hooks: rangesInto(ranges, 0) });
  const hour = Array.from({ length: 3600 }, () => {
    const epoch = run.next();
    kept.push(ranges.filter(({ id }) => epoch.report.used.includes(id)));
    return epoch;
  }).slice(2);

  it('the position wanders: from second to second by what noise and reflections make, far less than it is off', () => {
    const errors = hour.map(errorOf);
    const rms = Math.sqrt(errors.reduce((sum, { eastM, northM }) => sum + eastM ** 2 + northM ** 2, 0) / errors.length);
    let [steps, predicted, largest, count] = [0, 0, 0, 0];
    for (let i = 1; i < errors.length; i++) {
      // A satellite more or less moves the position by something that is no wander.
      if (hour[i]?.report.used.join() !== hour[i - 1]?.report.used.join()) continue;
      const stepM = Math.hypot(errors[i]!.eastM - errors[i - 1]!.eastM, errors[i]!.northM - errors[i - 1]!.northM);
      const expected = stepSquare(kept[i + 2] as PublishedRange[]);
      steps += stepM ** 2;
      predicted += expected;
      // Along one axis at most all of it.
      largest = Math.max(largest, stepM / Math.sqrt(expected));
      count++;
    }
    expect(count).toBeGreaterThan(0.98 * errors.length);
    const stepRms = Math.sqrt(steps / count);
    expect(stepRms).toBeLessThan(SMOOTH * rms);
    expect(stepRms).toBeGreaterThan(0.005);
    expect(Math.abs(stepRms / Math.sqrt(predicted / count) - 1)).toBeLessThan(STEP_TOLERANCE);
    expect(largest).toBeLessThan(LARGEST_STEP);
  });

  it('at rest the speed stays within some centimetres a second, and shows no course', () => {
    const speeds = hour.map(({ report }) => report.speedMps as number);
    const rms = Math.sqrt(speeds.reduce((sum, speed) => sum + speed * speed, 0) / speeds.length);
    expect(rms).toBeGreaterThan(0.01);
    expect(rms).toBeLessThan(0.15);
    expect(hour.filter(({ report }) => report.courseDeg !== null).length / hour.length).toBeLessThan(0.01);
  });

  it('the same seed gives the same hour, another a different one', () => {
    const again = epochs(simulator({ seed: 4 }), 600).slice(2);
    expect(again).toEqual(hour.slice(0, 598));
    const other = epochs(simulator({ seed: 5 }), 10).at(-1) as Epoch;
    expect(other.report.latitudeDeg).not.toBe(hour[7]?.report.latitudeDeg);
    expect(other.truth).toEqual(hour[7]?.truth);
  });
});

describe('no number breaks', () => {
  it.each(EXTREMES)(
    '%s (%d, %d, %d m), from a cold start on with every error',
    (_, latitudeDeg, longitudeDeg, altitudeMslM) => {
      const run = epochs(simulator({ start: 'cold', at: { latitudeDeg, longitudeDeg, altitudeMslM } }), 90);
      expect(run.at(-1)?.report.fix).toBe('3d');
      for (const epoch of run) {
        expect(numbersIn(epoch).every(Number.isFinite)).toBe(true);
        const { report } = epoch;
        if (report.latitudeDeg === null) continue;
        expect(Math.abs(report.latitudeDeg)).toBeLessThanOrEqual(90);
        expect(Math.abs(report.longitudeDeg as number)).toBeLessThanOrEqual(180);
        const { eastM, northM } = errorOf(epoch);
        if (report.fix === '3d') expect(Math.hypot(eastM, northM)).toBeLessThan(100);
      }
    },
  );
});
