import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { buildTrajectory } from '../../../src/sim/trajectory/build-trajectory.js';
import { ROUTE_ERROR_CODES } from '../../../src/sim/trajectory/codes.js';
import type { RouteStep } from '../../../src/sim/trajectory/route.js';
import { go, hold, place, track } from './samples.js';

/** Time of the processor, s; alone it takes a tenth, whatever else the machine does. */
const AT_ONCE_S = 3;

const A = place(63.43, 10.39, 12);
const B = place(63.44, 10.41);

function errorOf(steps: readonly RouteStep[]): LodestubError {
  try {
    buildTrajectory(steps);
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('no error');
}

const timed = (...rows: Array<[number, number, number]>): RouteStep =>
  track(rows.map(([latitudeDeg, longitudeDeg, timeS]) => ({ latitudeDeg, longitudeDeg, timeS })));

describe('a route that cannot be', () => {
  const cases: Array<[string, RouteStep[], string, string, RegExp]> = [
    ['no steps', [], 'route.empty', 'route', /at least one step/],
    ['a hold without a place', [hold(5)], 'route.no-place', 'route[0]', /first step with a place/],
    ['a go of one place first', [go([A], 5)], 'route.no-place', 'route[0]', /go with two places/],
    [
      'a hold elsewhere',
      [hold(5, A), hold(5, B)],
      'route.jump',
      'route[1]',
      /63\.44, 10\.41, 149\d\.\d m away.*Put \{ go/,
    ],
    [
      'a hold at another height',
      [hold(5, A), hold(5, place(63.43, 10.39, 50))],
      'route.jump',
      'route[1]',
      /height of 50\.0 m, 38\.0 m from the one reached.*Give the place before it the height 50\.0 m/,
    ],
    ['a go to where one is', [hold(5, A), go([A], 5)], 'route.zero-leg', 'route[1]', /place other than/],
    ['the same place twice', [go([A, B, B], 5)], 'route.zero-leg', 'route[0]', /63\.44, 10\.41/],
    ['a duration of zero', [hold(0, A)], 'route.range', 'route[0]', /duration above 0 s, got 0 s/],
    ['a negative speed', [go([A, B], -1)], 'route.range', 'route[0]', /speed above 0 m\/s, got -1 m\/s/],
    ['a speed of NaN', [go([A, B], Number.NaN)], 'route.range', 'route[0]', /speed/],
    ['no acceleration', [go([A, B], 1, { accelerationMps2: 0 })], 'route.range', 'route[0]', /acceleration/],
    ['no yaw rate', [go([A, B], 1, { yawRateDegps: 0 })], 'route.range', 'route[0]', /yaw rate/],
    ['a negative radius', [go([A, B], 1, { turnRadiusM: -2 })], 'route.range', 'route[0]', /radius/],
    ['no places', [hold(1, A), go([], 1)], 'route.range', 'route[1]', /at least one place/],
    ['a latitude of 91', [hold(1, place(91, 0))], 'route.place', 'route[0]', /got 91, 0\. The latitude comes first/],
    ['a place off the map in a go', [go([A, place(10, 181)], 1)], 'route.place', 'route[0]', /point 2 is not/],
    ['no rounds', [{ kind: 'repeat', times: 0, steps: [hold(1, A)] }], 'route.range', 'route[0]', /whole number/],
    ['half a round', [{ kind: 'repeat', times: 1.5, steps: [hold(1, A)] }], 'route.range', 'route[0]', /got 1\.5/],
    ['nothing to repeat', [{ kind: 'repeat', times: 2, steps: [] }], 'route.empty', 'route[0].route', /one step/],
    [
      'far too many rounds',
      [{ kind: 'repeat', times: 1e9, steps: [hold(1, A)] }],
      'route.length',
      'route[0]',
      /at most 100000 steps/,
    ],
    [
      'an error within a repeat',
      [hold(1, A), { kind: 'repeat', times: 2, steps: [hold(1), hold(-1)] }],
      'route.range',
      'route[1].route[1]',
      /duration/,
    ],
    [
      'a second round that begins elsewhere',
      [{ kind: 'repeat', times: 2, steps: [hold(1, A), go([B], 5)] }],
      'route.jump',
      'route[0].route[0]',
      /away/,
    ],
    [
      'a track elsewhere',
      [hold(1, A), timed([63, 10, 0], [63.1, 10, 9])],
      'route.jump',
      'route[1]',
      /lap\.gpx is else/,
    ],
    [
      'a track without times',
      [track([A, B])],
      'route.track-times',
      'route[0]',
      /lap\.gpx has no times.*speed: 4 km\/h/,
    ],
    [
      'a track with some times',
      [track([{ ...A, timeS: 0 }, B])],
      'route.track-times',
      'route[0]',
      /point 2 of lap\.gpx has no time, others have/,
    ],
    [
      'times that run backwards',
      [timed([1, 1, 0], [1.001, 1, 9], [1.002, 1, 8])],
      'route.track-order',
      'route[0]',
      /point 3 of lap\.gpx is earlier than the point before; expected a time after 9 s, got 8 s/,
    ],
    [
      'two places at one time',
      [timed([1, 1, 0], [1.001, 1, 9], [1.002, 1, 9])],
      'route.track-order',
      'route[0]',
      /point 3 of lap\.gpx is elsewhere at the same time; .* two places 110\.6 m apart/,
    ],
    ['a gap of half the globe', [timed([1, 1, 0], [-1, -179, 9])], 'route.track-gap', 'route[0]', /point 2/],
    ['one point', [timed([1, 1, 0])], 'route.track-short', 'route[0]', /at least two points/],
    ['one point over and over', [track([A, A], 4)], 'route.track-short', 'route[0]', /different places/],
  ];

  it.each(cases)('%s', (_, steps, code, path, message) => {
    const error = errorOf(steps);
    expect(error.code).toBe(code);
    expect(error.path).toBe(path);
    expect(error.message).toMatch(message);
  });

  it('names only codes that are listed, and every one of them', () => {
    const named = new Set(cases.map(([, , code]) => code));
    expect([...named].sort()).toEqual(Object.keys(ROUTE_ERROR_CODES).sort());
  });
});

describe('a route that can be', () => {
  it('names the place reached again, within a metre', () => {
    const trajectory = buildTrajectory([hold(5, A), hold(5, place(63.430001, 10.39)), go([A, B], 5), hold(5, B)]);
    expect(trajectory.at(7).latitudeDeg).toBe(A.latitudeDeg);
  });

  it('repeats a round trip', () => {
    const trajectory = buildTrajectory([{ kind: 'repeat', times: 3, steps: [hold(10, A), go([B, A], 10)] }]);
    const once = buildTrajectory([hold(10, A), go([B, A], 10)]).durationS;
    // Twice more, each after turning round on the spot: half a circle at 20 deg/s at most.
    expect(trajectory.durationS).toBeGreaterThan(3 * once);
    expect(trajectory.durationS).toBeLessThan(3 * once + 18.1);
  });

  it('turns at rest at the end of a round where the next goes another way', () => {
    const trajectory = buildTrajectory([{ kind: 'repeat', times: 2, steps: [go([A, B, A], 10)] }]);
    expect(trajectory.durationS).toBeGreaterThan(500);
  });

  it('of 10,000 points is built at once; if each point looked at each other, it would take far longer', () => {
    const points = Array.from({ length: 10_000 }, (_, i) => place(50 + i * 1e-5, 10 + Math.sin(i / 50) * 1e-3, i % 7));
    const builds: RouteStep[] = [go(points, 8), track(points, 8), track(points.map((p, timeS) => ({ ...p, timeS })))];
    for (const step of builds) {
      const before = process.cpuUsage();
      buildTrajectory([step]);
      expect(process.cpuUsage(before).user / 1e6).toBeLessThan(AT_ONCE_S);
    }
  });
});
