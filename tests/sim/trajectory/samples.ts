import { ecefFromGeodetic, LocalFrame } from '../../../src/base/frames.js';
import { wrapCourseDeg } from '../../../src/sim/trajectory/geodesy.js';
import type { GoStep, HoldStep, Place, TrackPoint, TrackStep } from '../../../src/sim/trajectory/route.js';
import type { Motion, Trajectory } from '../../../src/sim/trajectory/trajectory.js';

/** Rounding of ECEF coordinates (1 nm) over the interval of 4 ms, with the third derivative's share. */
export const VELOCITY_TOLERANCE_MPS = 1e-4;
/** Smallest difference of course that matters: sentences show 0.01 deg at most. */
export const COURSE_TOLERANCE_DEG = 1e-3;

const HALF_INTERVAL_S = 0.002;

export function place(latitudeDeg: number, longitudeDeg: number, altitudeMslM?: number): Place {
  return altitudeMslM === undefined ? { latitudeDeg, longitudeDeg } : { latitudeDeg, longitudeDeg, altitudeMslM };
}

export function hold(durationS: number, at?: Place): HoldStep {
  return at === undefined ? { kind: 'hold', durationS } : { kind: 'hold', durationS, at };
}

export function go(via: readonly Place[], speedMps: number, more: Partial<GoStep> = {}): GoStep {
  return { kind: 'go', via, speedMps, accelerationMps2: 1, yawRateDegps: 20, ...more };
}

export function track(points: readonly TrackPoint[], speedMps?: number): TrackStep {
  const step: TrackStep = { kind: 'track', points, source: 'lap.gpx', accelerationMps2: 1, yawRateDegps: 20 };
  return speedMps === undefined ? step : { ...step, speedMps };
}

export function ecefOf({ latitudeDeg, longitudeDeg, altitudeMslM }: Motion): ReturnType<typeof ecefFromGeodetic> {
  return ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: altitudeMslM });
}

export function distanceM(a: Motion, b: Motion): number {
  const [p, q] = [ecefOf(a), ecefOf(b)];
  return Math.hypot(p.xM - q.xM, p.yM - q.yM, p.zM - q.zM);
}

export function courseDifferenceDeg(a: number, b: number): number {
  const rest = wrapCourseDeg(a - b);
  return Math.min(rest, 360 - rest);
}

/** Speed, course and climb by central differences of the position. */
export function derivativeAt(
  trajectory: Trajectory,
  tS: number,
): { speedMps: number; courseDeg: number; climbMps: number; velocity: [number, number, number] } {
  const before = ecefOf(trajectory.at(tS - HALF_INTERVAL_S));
  const after = ecefOf(trajectory.at(tS + HALF_INTERVAL_S));
  const here = trajectory.at(tS);
  const width = 2 * HALF_INTERVAL_S;
  const velocity: [number, number, number] = [
    (after.xM - before.xM) / width,
    (after.yM - before.yM) / width,
    (after.zM - before.zM) / width,
  ];
  const { eastM, northM, upM } = new LocalFrame(here.latitudeDeg, here.longitudeDeg).toEnu(...velocity);
  return {
    speedMps: Math.hypot(eastM, northM),
    courseDeg: wrapCourseDeg((Math.atan2(eastM, northM) * 180) / Math.PI),
    climbMps: upM,
    velocity,
  };
}

/** Velocity as reported, east, north, up, m/s. */
export function reportedVelocity({ speedMps, courseDeg, climbMps }: Motion): [number, number, number] {
  const courseRad = (courseDeg * Math.PI) / 180;
  return [speedMps * Math.sin(courseRad), speedMps * Math.cos(courseRad), climbMps];
}

/** Largest change of reported velocity a second, by local frames that hardly turn between two samples. */
export function greatestAccelerationMps2(trajectory: Trajectory, stepS: number): number {
  let greatest = 0;
  let last = reportedVelocity(trajectory.at(0));
  for (let tS = stepS; tS <= trajectory.durationS + stepS; tS += stepS) {
    const next = reportedVelocity(trajectory.at(tS));
    greatest = Math.max(greatest, Math.hypot(...next.map((value, i) => value - last[i]!)) / stepS);
    last = next;
  }
  return greatest;
}
