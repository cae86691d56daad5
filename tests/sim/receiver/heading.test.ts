import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../../src/base/random.js';
import type { Epoch } from '../../../src/sim/epoch.js';
import { HeadingSensor } from '../../../src/sim/receiver/heading.js';
import { NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import type { Trajectory } from '../../../src/sim/trajectory/trajectory.js';
import { epochs, only, rms, simulator } from './still.js';

const sensor = (lengthS = 1) => new HeadingSensor(new RandomStreams(1).stream('heading'), { lengthS });
/** Sums of degrees round off. */
const ROUNDING_DEG = 1e-9;

/** Turns by 3 deg/s on the spot that it drives on at 8 m/s: course and place fit only roughly, which is enough. */
const TURNING: Trajectory = {
  durationS: Infinity,
  at: (tS) => ({
    latitudeDeg: 45,
    longitudeDeg: 7,
    altitudeMslM: 100,
    speedMps: 8,
    courseDeg: (350 + 3 * tS) % 360,
    climbMps: 0,
  }),
  surroundingsAt: () => null,
  stretches: [],
};

const turnDeg = (a: number, b: number) => ((((a - b + 180) % 360) + 360) % 360) - 180;

describe('a heading', () => {
  it('lies in [0, 360), and its rate is the shorter way round, per minute', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -720, max: 720, noNaN: true }),
        fc.double({ min: -170, max: 170, noNaN: true }),
        (from, by) => {
          const one = sensor();
          const first = one.from(10, from);
          const second = one.from(12, from + by);
          for (const { headingDeg } of [first, second]) {
            expect(headingDeg).toBeGreaterThanOrEqual(0);
            expect(headingDeg).toBeLessThan(360);
          }
          expect(first.rateDegPerMin).toBeNull();
          expect(Math.abs((second.rateDegPerMin as number) - by * 30)).toBeLessThan(1e-6);
        },
      ),
    );
  });

  it('has no rate after it was forgotten, nor at the same instant', () => {
    const one = sensor();
    one.from(0, 10);
    expect(one.from(0, 20).rateDegPerMin).toBeNull();
    one.forget();
    expect(one.from(1, 30).rateDegPerMin).toBeNull();
  });

  it('of two antennas: within tenths of a degree of where the vehicle points, exact without noise', () => {
    const one = sensor();
    const errors = Array.from({ length: 5000 }, (_, k) => turnDeg(one.fromTwoAntennas(k, 123, false).headingDeg, 123));
    // 0.3 deg (common practice); 5 s of correlation leave 500 independent ones.
    expect(Math.abs(rms(errors) / 0.3 - 1)).toBeLessThan(5 / Math.sqrt(2 * 500));
    expect(Math.abs(sensor().fromTwoAntennas(0, 123, true).headingDeg - 123)).toBeLessThan(ROUNDING_DEG);
  });
});

describe('in a report', () => {
  it('there is none where the module has none', () => {
    for (const { report } of epochs(simulator({ trajectory: TURNING }), 10)) expect(report.heading).toBeNull();
  });

  it('two antennas have one at rest too, once there is a position', () => {
    const wish = { start: 'cold' as const, receiver: { heading: 'two-antennas' as const }, at: { courseDeg: 77 } };
    for (const { report } of epochs(simulator(wish), 60)) {
      expect(report.heading !== null).toBe(report.fix !== 'none');
      if (report.heading !== null) expect(Math.abs(turnDeg(report.heading.headingDeg, 77))).toBeLessThan(1.5);
    }
  });

  it('turns with the vehicle, through north', () => {
    const receiver = { heading: 'two-antennas' as const };
    const all = epochs(simulator({ trajectory: TURNING, receiver, errors: NO_ERRORS }), 30).slice(2);
    expect(all.some(({ truth }) => truth.courseDeg > 350) && all.some(({ truth }) => truth.courseDeg < 10)).toBe(true);
    all.forEach(({ report, truth }, k) => {
      expect(Math.abs(turnDeg(report.heading?.headingDeg as number, truth.courseDeg))).toBeLessThan(1e-6);
      if (k > 0) expect(Math.abs((report.heading?.rateDegPerMin as number) - 180)).toBeLessThan(1e-6);
    });
  });

  it('has no rate right after a restart, however soon it is there: what was before the power failed counts no more', () => {
    const receiver = { heading: 'two-antennas' as const };
    // A hot start has a fix well within 10 s.
    const run = simulator({ trajectory: TURNING, receiver, errors: NO_ERRORS, epochMs: 10_000 });
    expect(epochs(run, 3).at(-1)?.report.heading?.rateDegPerMin).not.toBeNull();
    run.receiver.powerOff();
    expect(run.next().report.heading).toBeNull();
    run.receiver.powerOn('hot');
    const shown = epochs(run, 3).map(({ report }) => report.heading);
    const first = shown.findIndex((heading) => heading !== null);
    expect(first).toBeGreaterThanOrEqual(0);
    expect(shown[first]?.rateDegPerMin).toBeNull();
  });

  it('from the course: as the course, none at rest, none without a position', () => {
    const receiver = { heading: 'course' as const };
    for (const { report } of epochs(simulator({ receiver }), 60)) {
      if (report.courseDeg === null) expect(report.heading).toBeNull();
    }
    const moving = epochs(simulator({ trajectory: TURNING, receiver }), 20).slice(2);
    for (const { report } of moving) {
      expect(Math.abs(turnDeg(report.heading?.headingDeg as number, report.courseDeg as number))).toBeLessThan(1e-6);
    }
    const lost = epochs(simulator({ trajectory: TURNING, receiver, hooks: only((t) => (t < 5000 ? 99 : 0)) }), 10);
    expect((lost.at(-1) as Epoch).report.heading).toBeNull();
  });
});
