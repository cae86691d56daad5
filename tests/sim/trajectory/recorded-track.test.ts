import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readGpx } from '../../../src/scenario/gpx.js';
import { buildTrajectory } from '../../../src/sim/trajectory/build-trajectory.js';
import type { TrackPoint } from '../../../src/sim/trajectory/route.js';
import {
  COURSE_TOLERANCE_DEG,
  courseDifferenceDeg,
  derivativeAt,
  distanceM,
  ecefOf,
  hold,
  place,
  reportedVelocity,
  track,
  VELOCITY_TOLERANCE_MPS,
} from './samples.js';

/** What "passes through the point" means. */
const ONE_MILLIMETRE_M = 1e-3;
/** Change of velocity within 2 µs around a recorded point: acceleration only. */
const VELOCITY_STEP_MPS = 1e-3;

const LAP: TrackPoint[] = [
  { ...place(51.5, -0.1, 20), timeS: 100 },
  { ...place(51.5001, -0.1002, 22), timeS: 108 },
  { ...place(51.5001, -0.1002, 22), timeS: 140 },
  { ...place(51.5004, -0.1001), timeS: 150 },
  { ...place(51.5004, -0.0995, 30), timeS: 161 },
  { ...place(51.5003, -0.0994, 30), timeS: 163 },
];

function expectPlayedAsRecorded(points: readonly TrackPoint[]): void {
  const trajectory = buildTrajectory([track(points)]);
  const firstS = points[0]!.timeS!;
  expect(Math.abs(trajectory.durationS - (points.at(-1)!.timeS! - firstS))).toBeLessThan(1e-6);
  for (const point of points) {
    const tS = point.timeS! - firstS;
    const motion = trajectory.at(tS);
    const altitudeMslM = point.altitudeMslM ?? motion.altitudeMslM;
    expect(distanceM(motion, { ...motion, ...point, altitudeMslM }), `at ${tS} s`).toBeLessThan(ONE_MILLIMETRE_M);
    const [before, after] = [trajectory.at(tS - 1e-6), trajectory.at(tS + 1e-6)].map(reportedVelocity);
    const step = Math.hypot(...before!.map((value, i) => value - after![i]!));
    if (tS > 0) expect(step, `velocity at ${tS} s`).toBeLessThan(VELOCITY_STEP_MPS);
  }
}

function expectTrueDerivatives(points: readonly TrackPoint[]): void {
  const trajectory = buildTrajectory([track(points)]);
  const times = new Set(points.map(({ timeS }) => timeS! - points[0]!.timeS!));
  for (let tS = 0.313; tS < trajectory.durationS - 0.1; tS += 0.77) {
    if ([...times].some((timeS) => Math.abs(timeS - tS) < 0.01)) continue;
    const motion = trajectory.at(tS);
    const found = derivativeAt(trajectory, tS);
    expect(Math.abs(motion.speedMps - found.speedMps), `speed at ${tS} s`).toBeLessThan(VELOCITY_TOLERANCE_MPS);
    expect(Math.abs(motion.climbMps - found.climbMps), `climb at ${tS} s`).toBeLessThan(VELOCITY_TOLERANCE_MPS);
    if (motion.speedMps > 0.5) {
      const offDeg = courseDifferenceDeg(motion.courseDeg, found.courseDeg);
      expect(offDeg, `course at ${tS} s`).toBeLessThan(COURSE_TOLERANCE_DEG);
    }
  }
}

/**
 * Between two points d apart in time T, a monotone cubic is at most twice as fast as d/T and accelerates by at most
 * 6 d/T² (Hermite's form with slopes from 0 to twice the secant).
 */
function expectNoMoreThanRecorded(points: readonly TrackPoint[]): void {
  const trajectory = buildTrajectory([track(points)]);
  const stepS = 0.05;
  // The Earth's curvature, and the velocity's frame turning within an interval.
  const SLACK = 1.02;
  points.slice(1).forEach((point, i) => {
    const [fromS, toS] = [points[i]!.timeS!, point.timeS!];
    const widthS = toS - fromS;
    const chordM = distanceM(trajectory.at(fromS), trajectory.at(toS));
    for (let tS = fromS; tS + stepS < toS; tS += stepS) {
      const [now, next] = [trajectory.at(tS), trajectory.at(tS + stepS)];
      const [a, b] = [reportedVelocity(now), reportedVelocity(next)];
      const accelerationMps2 = Math.hypot(...a.map((value, k) => value - b[k]!)) / stepS;
      expect(now.speedMps, `speed at ${tS} s`).toBeLessThan(((2 * chordM) / widthS) * SLACK + 1e-3);
      expect(accelerationMps2, `at ${tS} s`).toBeLessThan(((6 * chordM) / widthS ** 2) * SLACK + 1e-3);
    }
  });
}

describe('a track with times', () => {
  it('passes every point at its time, with continuous velocity', () => {
    expectPlayedAsRecorded(LAP);
  });

  it('has speed, course and climb as derivatives of the position', () => {
    expectTrueDerivatives(LAP);
  });

  it('stands still exactly where the record does, with the course last held', () => {
    const trajectory = buildTrajectory([track(LAP)]);
    const standing = trajectory.at(20);
    expect(standing.speedMps).toBe(0);
    expect(trajectory.at(39)).toBe(standing);
    expect(courseDifferenceDeg(standing.courseDeg, trajectory.at(7.99).courseDeg)).toBeLessThan(1);
    expect(distanceM(standing, trajectory.at(8))).toBeLessThan(1e-6);
  });

  it('does not overshoot: heights and places stay between those recorded', () => {
    const trajectory = buildTrajectory([track(LAP)]);
    for (let tS = 0; tS < trajectory.durationS; tS += 0.1) {
      const { altitudeMslM, latitudeDeg } = trajectory.at(tS);
      expect(altitudeMslM).toBeGreaterThanOrEqual(20);
      expect(altitudeMslM).toBeLessThanOrEqual(30);
      expect(latitudeDeg).toBeLessThan(51.5004 + 1e-7);
    }
  });

  it('fills a missing height from its neighbours, by time', () => {
    const trajectory = buildTrajectory([track(LAP)]);
    // From 22 m at 40 s to 30 m at 61 s.
    expect(Math.abs(trajectory.at(50).altitudeMslM - (22 + (8 * 10) / 21))).toBeLessThan(1e-9);
  });

  it('keeps the height reached where it has none', () => {
    const bare = LAP.map(({ latitudeDeg, longitudeDeg, timeS }) => ({ latitudeDeg, longitudeDeg, timeS: timeS! }));
    const trajectory = buildTrajectory([hold(5, place(51.5, -0.1, 77)), track(bare)]);
    expect(trajectory.at(30).altitudeMslM).toBe(77);
  });

  it('begins at rest after a hold, in motion as the first step, and ends at rest', () => {
    const alone = buildTrajectory([track(LAP)]);
    const after = buildTrajectory([hold(5, place(51.5, -0.1, 20)), track(LAP)]);
    expect(alone.at(0).speedMps).toBeGreaterThan(1);
    expect(after.at(5).speedMps).toBe(0);
    expect(after.at(5.001).speedMps).toBeLessThan(0.01);
    expect(alone.at(alone.durationS - 1e-6).speedMps).toBeLessThan(1e-3);
    // The hold's course is the first to come.
    expect(courseDifferenceDeg(after.at(0).courseDeg, after.at(5.001).courseDeg)).toBeLessThan(0.1);
  });

  it('counts one time at one place once', () => {
    const twice = [LAP[0]!, ...LAP];
    expect(buildTrajectory([track(twice)]).at(33.3)).toEqual(buildTrajectory([track(LAP)]).at(33.3));
  });
});

describe('a track at a speed', () => {
  it('runs through its points by the legs of a go, whatever its times', () => {
    const points = [place(10, 20, 5), place(10, 20, 5), place(10.003, 20), place(10.003, 20.003, 11)];
    const trajectory = buildTrajectory([track(points, 10)]);
    const { speedMps, altitudeMslM } = trajectory.at(30);
    expect(Math.abs(speedMps - 10)).toBeLessThan(1e-4);
    expect(altitudeMslM).toBeGreaterThan(5);
    expect(Math.abs(trajectory.at(1e6).latitudeDeg - 10.003)).toBeLessThan(1e-12);
  });
});

const TRACKS = new URL('../../../../shared/data/tracks/', import.meta.url).pathname;

describe('tracks that people recorded', () => {
  const load = (file: string): TrackPoint[] => readGpx(readFileSync(TRACKS + file, 'utf8'), file);

  for (const [file, sourceTitle] of [
    ['car-trip.gpx', 'eTrex 20x, 2020-12-18'],
    ['run.gpx', 'Garmin Connect, 2012-10-24'],
  ] as const) {
    const path = TRACKS + file;
    it.skipIf(!existsSync(path))(`${file} (${sourceTitle}): every point at its time, velocity continuous`, () => {
      const points = load(file);
      expectPlayedAsRecorded(points);
      expectTrueDerivatives(points);
      expectNoMoreThanRecorded(points);
    });
  }

  const file = 'route-without-times.gpx';
  it.skipIf(!existsSync(TRACKS + file))(`${file} (gpx.py): at a speed, near every point`, () => {
    const points = load(file);
    expect(points.every(({ timeS }) => timeS === undefined)).toBe(true);
    const trajectory = buildTrajectory([track(points, 3)]);
    const nearestM = points.map(() => Number.POSITIVE_INFINITY);
    const targets = points.map((point) => ecefOf({ ...trajectory.at(0), ...point }));
    for (let tS = 0; tS <= trajectory.durationS; tS += 0.5) {
      const here = ecefOf(trajectory.at(tS));
      targets.forEach((target, i) => {
        const offM = Math.hypot(here.xM - target.xM, here.yM - target.yM, here.zM - target.zM);
        nearestM[i] = Math.min(nearestM[i]!, offM);
      });
    }
    // At 3 m/s and 20 deg/s a turn has a radius of 8.6 m and cuts 3.6 m off a corner at most; samples are 1.5 m apart.
    expect(Math.max(...nearestM)).toBeLessThan(3.6 + 0.4);
    expect(distanceM(trajectory.at(1e9), { ...trajectory.at(1e9), ...points.at(-1)! })).toBeLessThan(1e-6);
  });
});
