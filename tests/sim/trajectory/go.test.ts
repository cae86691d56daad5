import { describe, expect, it } from 'vitest';
import { buildTrajectory } from '../../../src/sim/trajectory/build-trajectory.js';
import type { GoStep } from '../../../src/sim/trajectory/route.js';
import {
  COURSE_TOLERANCE_DEG,
  courseDifferenceDeg,
  derivativeAt,
  distanceM,
  go,
  greatestAccelerationMps2,
  hold,
  place,
  VELOCITY_TOLERANCE_MPS,
} from './samples.js';

const A = place(63.4305, 10.3951, 12);
const B = place(63.441, 10.4102);
const C = place(63.4412, 10.43, 60);
const D = place(63.4501, 10.425, 20);
/** Rounding of a position in double precision, ten times over. */
const POSITION_TOLERANCE_M = 1e-7;
/** A piece's end is met by rounding only. */
const CONTINUITY_MPS = 1e-6;
/** Curvature radii differ by 0.7 % over the globe: at 60 m height and 5 m/s, 0.3 micrometres a second. */
const SPEED_LIMIT_MPS = 1e-6;
/** Times with 15 digits, of minutes. */
const TIME_TOLERANCE_S = 1e-9;

function expectTrueDerivatives(trajectory: ReturnType<typeof buildTrajectory>, stepS: number): void {
  for (let tS = 0.0137; tS < trajectory.durationS; tS += stepS) {
    if (!isSmooth(tS, trajectory)) continue;
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

/** False where acceleration or curvature changes between the samples: a central difference has two answers there. */
function isSmooth(tS: number, trajectory: ReturnType<typeof buildTrajectory>): boolean {
  const [a, b, c] = [tS - 0.006, tS, tS + 0.006].map((t) => trajectory.at(t));
  const bendDeg = courseDifferenceDeg(a!.courseDeg, b!.courseDeg) - courseDifferenceDeg(b!.courseDeg, c!.courseDeg);
  return Math.abs(a!.speedMps - 2 * b!.speedMps + c!.speedMps) < 1e-9 && Math.abs(bendDeg) < 1e-4;
}

describe('go', () => {
  it('starts from rest, cruises at the speed, and stands at the last place at the end', () => {
    const trajectory = buildTrajectory([hold(10, A), go([B], 5)]);
    expect(trajectory.at(10)).toMatchObject({ speedMps: 0 });
    expect(Math.abs(trajectory.at(60).speedMps - 5)).toBeLessThan(SPEED_LIMIT_MPS);
    const end = trajectory.at(trajectory.durationS + 100);
    expect(end.speedMps).toBe(0);
    expect(Math.abs(end.latitudeDeg - B.latitudeDeg)).toBeLessThan(1e-12);
    expect(Math.abs(end.longitudeDeg - B.longitudeDeg)).toBeLessThan(1e-12);
    expect(Object.isFrozen(end)).toBe(true);
  });

  it('never reaches cruise on a leg that is too short', () => {
    const trajectory = buildTrajectory([go([place(10, 20), place(10.0001, 20)], 50)]);
    // 11.06 m of meridian at 1 m/s2: half of it speeding up, half braking.
    const lengthM = distanceM(trajectory.at(0), trajectory.at(1e6));
    expect(Math.abs(trajectory.durationS - 2 * Math.sqrt(lengthM))).toBeLessThan(1e-6);
    expect(trajectory.at(trajectory.durationS / 2).speedMps).toBeLessThan(Math.sqrt(lengthM) + SPEED_LIMIT_MPS);
  });

  const manners: Array<[string, Partial<GoStep>]> = [
    ['as small turns as the yaw rate allows', {}],
    ['turns of 120 m', { turnRadiusM: 120 }],
    ['turns wider than the legs have room for', { turnRadiusM: 5000 }],
    ['turns standing', { turnRadiusM: 0 }],
  ];
  it.each(manners)('has speed, course and climb as derivatives of the position: %s', (_, more) => {
    const trajectory = buildTrajectory([hold(5, A), go([B, C], 12, more), go([D, A], 30, more), hold(5)]);
    expectTrueDerivatives(trajectory, 0.0917);
  });

  it('has exact derivatives at a height of 10 km and in turns of 80 km', () => {
    const legs = [place(50, 8, 10_000), place(53, 12), place(50, 16), place(48, 12)];
    const trajectory = buildTrajectory([go(legs, 250, { turnRadiusM: 80_000 })]);
    expectTrueDerivatives(trajectory, 37.31);
    // Cruising is at the speed asked for, at the height flown.
    expect(Math.abs(trajectory.at(1000).speedMps - 250)).toBeLessThan(0.01);
  });

  it('keeps acceleration and yaw rate within their limits', () => {
    const trajectory = buildTrajectory([go([A, B, C, D], 12, { accelerationMps2: 0.7, yawRateDegps: 8 })]);
    const stepS = 0.05;
    for (let tS = 0; tS < trajectory.durationS; tS += stepS) {
      const [now, next] = [trajectory.at(tS), trajectory.at(tS + stepS)];
      expect(Math.abs(next.speedMps - now.speedMps)).toBeLessThan(0.7 * stepS * 1.0001 + CONTINUITY_MPS);
      expect(now.speedMps).toBeLessThan(12.0001);
      expect(courseDifferenceDeg(next.courseDeg, now.courseDeg)).toBeLessThan(8 * stepS * 1.001);
    }
  });

  it('slows down where the legs leave too little room for the turn', () => {
    const near = [place(10, 20), place(10.0001, 20), place(10.0001, 20.0001), place(10.0002, 20.0001)];
    const trajectory = buildTrajectory([go(near, 20, { accelerationMps2: 5, yawRateDegps: 10 })]);
    expectYawWithin(trajectory, 10);
  });

  it('stops and turns by the yaw rate at a sharp corner', () => {
    const trajectory = buildTrajectory([go([place(10, 20), place(10.01, 20), place(10, 20.0001)], 5)]);
    let standingS = 0;
    for (let tS = 5; tS < trajectory.durationS - 5; tS += 0.1) {
      if (trajectory.at(tS).speedMps === 0) standingS += 0.1;
      const turnDeg = courseDifferenceDeg(trajectory.at(tS + 0.1).courseDeg, trajectory.at(tS).courseDeg);
      expect(turnDeg).toBeLessThan(2.001);
    }
    // Nearly half a circle at 20 deg/s.
    expect(Math.abs(standingS - 8.97)).toBeLessThan(0.15);
  });

  it('turns at rest before it leaves a hold in another direction', () => {
    const trajectory = buildTrajectory([
      go([place(10, 20), place(10.01, 20)], 5),
      hold(30),
      go([place(10.01, 20.01)], 5),
    ]);
    const half = buildTrajectory([go([place(10, 20), place(10.01, 20)], 5)]).durationS + 30;
    expect(trajectory.at(half - 1).courseDeg).toBe(0);
    const turning = trajectory.at(half + 2.25);
    expect(turning.speedMps).toBe(0);
    expect(Math.abs(turning.courseDeg - 45)).toBeLessThan(0.01);
  });

  it('joins consecutive go steps without a stop, and hold parts them', () => {
    const joined = buildTrajectory([hold(1, A), go([B], 10), go([C], 10)]);
    const parted = buildTrajectory([hold(1, A), go([B], 10), hold(20), go([C], 10)]);
    const slowest = (t: ReturnType<typeof buildTrajectory>): number => {
      let least = 99;
      for (let tS = 20; tS < t.durationS - 15; tS += 0.5) least = Math.min(least, t.at(tS).speedMps);
      return least;
    };
    expect(slowest(joined)).toBeGreaterThan(9.99);
    expect(slowest(parted)).toBe(0);
  });

  it('climbs from waypoint to waypoint, level at each, and keeps the last height where none is given', () => {
    const trajectory = buildTrajectory([go([A, B, C, D], 10)]);
    let highestM = 0;
    for (let tS = 0; tS < trajectory.durationS; tS += 0.5) {
      const { altitudeMslM } = trajectory.at(tS);
      highestM = Math.max(highestM, altitudeMslM);
      expect(altitudeMslM).toBeGreaterThan(12 - 1e-9);
    }
    expect(Math.abs(highestM - 60)).toBeLessThan(0.1);
    expect(trajectory.at(60).altitudeMslM).toBe(12);
    expect(Math.abs(trajectory.at(1e6).altitudeMslM - 20)).toBeLessThan(POSITION_TOLERANCE_M);
  });

  it('passes straight over a waypoint that lies on the way', () => {
    const straight = buildTrajectory([go([place(0, 10), place(0, 10.01)], 5)]);
    const waypoint = buildTrajectory([go([place(0, 10), place(0, 10.004), place(0, 10.01)], 5)]);
    expect(Math.abs(straight.durationS - waypoint.durationS)).toBeLessThan(TIME_TOLERANCE_S);
  });

  it('has no step in velocity where the pieces meet', () => {
    const trajectory = buildTrajectory([go([A, B, C, D], 15), hold(3)]);
    // At 15 m/s and 20 deg/s a turn is 5.2 m/s2; a step in velocity would show as far more at 1 ms.
    expect(greatestAccelerationMps2(trajectory, 0.001)).toBeLessThan(5.5);
  });
});

function expectYawWithin(trajectory: ReturnType<typeof buildTrajectory>, limitDegps: number): void {
  const stepS = 0.02;
  for (let tS = 0; tS < trajectory.durationS; tS += stepS) {
    const turnDeg = courseDifferenceDeg(trajectory.at(tS + stepS).courseDeg, trajectory.at(tS).courseDeg);
    expect(turnDeg, `at ${tS} s`).toBeLessThan(limitDegps * stepS * 1.001 + 1e-6);
  }
}
