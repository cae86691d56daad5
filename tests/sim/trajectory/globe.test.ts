import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildTrajectory } from '../../../src/sim/trajectory/build-trajectory.js';
import type { Place, RouteStep } from '../../../src/sim/trajectory/route.js';
import type { Trajectory } from '../../../src/sim/trajectory/trajectory.js';
import { distanceM, go, hold, place, track } from './samples.js';

/** A chord of 200 m is shorter than its arc by 8 nm; the speed changes a little within a second at a turn. */
const STEP_TOLERANCE_M = 1e-3;

/** Every second of cruise is as long as the speed says, and longitudes stay in [-180, 180). */
function expectNoJump(trajectory: Trajectory): void {
  let last = trajectory.at(0);
  for (let tS = 1; tS <= trajectory.durationS; tS++) {
    const motion = trajectory.at(tS);
    const meanMps = (last.speedMps + motion.speedMps) / 2;
    expect(Math.abs(distanceM(last, motion) - meanMps), `step at ${tS} s`).toBeLessThan(
      last.speedMps === motion.speedMps ? STEP_TOLERANCE_M : 1,
    );
    expect(motion.longitudeDeg).toBeGreaterThanOrEqual(-180);
    expect(motion.longitudeDeg).toBeLessThan(180);
    expect(motion.courseDeg).toBeGreaterThanOrEqual(0);
    expect(motion.courseDeg).toBeLessThan(360);
    last = motion;
  }
}

describe('the globe has no seams', () => {
  const crossings: Array<[string, Place, Place]> = [
    ['the north pole', place(89.99, 30), place(89.99, -150)],
    ['beside the north pole', place(89.99, 30), place(89.99, -120)],
    ['the south pole', place(-89.99, 0), place(-89.99, 180)],
    ['the antimeridian eastward', place(52, 179.99), place(52.001, -179.99)],
    ['the antimeridian westward', place(-17, -179.99), place(-17, 179.99)],
    ['the equator', place(-0.01, 20), place(0.01, 20.005)],
    ['along the antimeridian', place(10, 180), place(10.02, -180)],
  ];
  it.each(crossings)('a go crosses %s', (_, from, to) => {
    expectNoJump(buildTrajectory([hold(2, from), go([to], 20)]));
  });

  it.each(crossings)('a recorded track crosses %s', (_, from, to) => {
    const points = [
      { ...from, timeS: 0 },
      { ...to, timeS: 100 },
    ];
    const trajectory = buildTrajectory([track(points)]);
    let last = trajectory.at(0);
    // The chord between two points 3 km apart lies up to 0.2 m low; the greatest speed is 1.5 times the mean.
    const mostM = (distanceM(trajectory.at(0), trajectory.at(1e9)) / 100) * 1.6;
    for (let tS = 1; tS <= 100; tS++) {
      const motion = trajectory.at(tS);
      expect(distanceM(last, motion)).toBeLessThan(mostM);
      expect(motion.longitudeDeg).toBeGreaterThanOrEqual(-180);
      expect(motion.longitudeDeg).toBeLessThan(180);
      last = motion;
    }
  });

  it.each([
    ['the north pole', place(90, 0), place(89.99, 100)],
    ['the antimeridian', place(5, 180), place(5.01, -179.995)],
  ])('a corner lies on %s', (_, corner, end) => {
    expectNoJump(buildTrajectory([go([place(corner.latitudeDeg - 0.01, 170), corner, end], 500)]));
  });
});

describe('the same time gives the same motion', () => {
  const steps: RouteStep[] = [
    hold(7, place(63.4, 10.4, 5)),
    go([place(63.401, 10.402), place(63.402, 10.4)], 8),
    hold(4),
    {
      kind: 'repeat',
      times: 3,
      steps: [go([place(63.403, 10.4), place(63.402, 10.4)], 5), hold(2)],
    },
    track([
      { ...place(63.402, 10.4), timeS: 0 },
      { ...place(63.4021, 10.4), timeS: 10 },
      { ...place(63.4021, 10.4), timeS: 20 },
      { ...place(63.4022, 10.4005), timeS: 30 },
    ]),
  ];
  const { durationS } = buildTrajectory(steps);

  it('whatever was asked before', () => {
    const time = fc.double({ min: -5, max: durationS + 20, noNaN: true });
    fc.assert(
      fc.property(fc.array(time, { minLength: 1, maxLength: 40 }), (times) => {
        const trajectory = buildTrajectory(steps);
        for (const tS of times) expect(trajectory.at(tS)).toEqual(buildTrajectory(steps).at(tS));
      }),
      { numRuns: 25 },
    );
  });

  it('and at rest it is the very same object', () => {
    const trajectory = buildTrajectory(steps);
    expect(trajectory.at(1)).toBe(trajectory.at(6.5));
    expect(trajectory.at(durationS + 1)).toBe(trajectory.at(durationS + 9));
    expect(Object.isFrozen(trajectory.at(1))).toBe(true);
  });
});

describe('any route', () => {
  it('moves without a jump within its speed', () => {
    const somewhere = fc.record({
      northM: fc.double({ min: -400, max: 400, noNaN: true }),
      eastM: fc.double({ min: -400, max: 400, noNaN: true }),
      heightM: fc.option(fc.double({ min: -20, max: 60, noNaN: true }), { nil: undefined }),
    });
    const route = fc.record({
      latitudeDeg: fc.double({ min: -89, max: 89, noNaN: true }),
      places: fc.array(somewhere, { minLength: 3, maxLength: 9 }),
      speedMps: fc.double({ min: 0.2, max: 60, noNaN: true }),
      yawRateDegps: fc.double({ min: 2, max: 90, noNaN: true }),
      turnRadiusM: fc.option(fc.double({ min: 0, max: 500, noNaN: true }), { nil: undefined }),
    });
    fc.assert(
      fc.property(route, ({ latitudeDeg, places, speedMps, yawRateDegps, turnRadiusM }) => {
        const via = places.map(({ northM, eastM, heightM }) =>
          place(latitudeDeg + northM / 111_000, 179.999 + Math.min(0.001, eastM / 400_000), heightM),
        );
        const apart = via.filter((to, i) => i === 0 || to.latitudeDeg !== via[i - 1]!.latitudeDeg);
        fc.pre(
          apart.length > 1 &&
            apart.every((to, i) => i === 0 || Math.abs(to.latitudeDeg - apart[i - 1]!.latitudeDeg) > 1e-6),
        );
        const step = go(apart, speedMps, { yawRateDegps, ...(turnRadiusM === undefined ? {} : { turnRadiusM }) });
        const trajectory = buildTrajectory([step]);
        const stepS = trajectory.durationS / 400;
        let last = trajectory.at(0);
        for (let i = 1; i <= 400; i++) {
          const motion = trajectory.at(i * stepS);
          const climbM = motion.altitudeMslM - last.altitudeMslM;
          expect(motion.speedMps).toBeLessThan(speedMps * 1.0001);
          expect(distanceM(last, motion)).toBeLessThan(Math.hypot(speedMps * stepS, climbM) * 1.001 + 1e-6);
          last = motion;
        }
      }),
      { numRuns: 60 },
    );
  });
});
