import { describe, expect, it } from 'vitest';
import type { Epoch, Observation } from '../../../src/sim/epoch.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import { ALL_ERRORS, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { carrierHz } from '../../../src/sim/signal/signal-kind.js';
import type { Simulator } from '../../../src/sim/simulator.js';
import { OPEN_SKY } from '../../../src/sim/surroundings.js';
import type { Trajectory } from '../../../src/sim/trajectory/trajectory.js';
import { EASTWARD, epochs, errorOf, normalisedSquare, offM, rms, SPEED_MPS, simulator, type Wish } from './still.js';

const C_MPS = 299_792_458;
const SEEDS = 300;
/** Five standard deviations of the mean of so many chi-squares with 3 degrees, over 3. */
const SQUARE_TOLERANCE = 5 * Math.sqrt(2 / (3 * SEEDS));
/** Five standard deviations of a root mean square of as many values on two axes. */
const RMS_TOLERANCE = 5 / Math.sqrt(2 * 2 * SEEDS);
/** A host's command is done between two epochs: epochs go on so long after the one before, ms, then every 100 ms. */
const COMMAND_MS = 400;

/** Ten seconds at 1 s, a command in between, five at 100 ms, a command, ten at 1 s: all epochs, and each solution. */
function thereAndBack(run: Simulator): Array<{ epoch: Epoch; solution: Solution | null }> {
  const all: Array<{ epoch: Epoch; solution: Solution | null }> = [];
  const go = (count: number, firstMs?: number) => {
    for (let i = 0; i < count; i++) {
      const epoch = i === 0 && firstMs !== undefined ? run.next(firstMs) : run.next();
      all.push({ epoch, solution: run.receiver.solution });
    }
  };
  go(11);
  run.changeInterval(100);
  go(47, 10_000 + COMMAND_MS);
  run.changeInterval(1000);
  go(10, 16_000);
  return all;
}

/** Places in what {@link thereAndBack} gives: before, at and after each change. */
const PLACES = [10, 11, 12, 13, 30, 57, 58, 59, 67] as const;

describe('a rate that changes in mid-run', () => {
  const runs = Array.from({ length: SEEDS }, (_, i) =>
    thereAndBack(simulator({ seed: 500 + i, startS: i * 613, at: { longitudeDeg: ((i * 137.5) % 360) - 180 } })),
  );

  it('epochs come at the times asked for', () => {
    const times = runs[0]!.map(({ epoch }) => epoch.atMs);
    expect(times.slice(9, 14)).toEqual([9000, 10_000, 10_400, 10_500, 10_600]);
    expect(times.slice(56, 60)).toEqual([14_900, 15_000, 16_000, 17_000]);
  });

  it.each(PLACES)('position errors are as large as their covariance says, epoch %i', (place) => {
    const squares: number[] = [];
    for (const run of runs) {
      const { epoch, solution } = run[place]!;
      if (epoch.report.fix === '3d') squares.push(normalisedSquare(epoch, solution as Solution));
    }
    expect(squares.length).toBeGreaterThan(0.95 * SEEDS);
    const mean = squares.reduce((sum, square) => sum + square, 0) / squares.length;
    expect(Math.abs(mean / 3 - 1)).toBeLessThan(SQUARE_TOLERANCE);
  });

  it('nothing jumps: steps of the position error grow with the time between epochs, at a change as elsewhere', () => {
    const step = (place: number) =>
      rms(
        runs.flatMap((run) => {
          const [now, before] = [run[place]!.epoch, run[place - 1]!.epoch];
          if (now.report.fix !== '3d' || before.report.fix !== '3d') return [];
          const [a, b] = [errorOf(now), errorOf(before)];
          return [a.eastM - b.eastM, a.northM - b.northM];
        }),
      );
    // Nearly all of it is code noise, 2.5 s: an exponential in the mean square.
    const share = (apartS: number) => Math.sqrt((1 - Math.exp(-apartS / 2.5)) / (1 - Math.exp(-1 / 2.5)));
    const second = step(9);
    for (const [place, apartS] of [
      [11, 0.4],
      [12, 0.1],
      [40, 0.1],
      [58, 1],
      [59, 1],
    ] as const) {
      // Interpolated, as code noise is at 100 ms, a step is somewhat shorter than the process makes it.
      expect(step(place) / second, `epoch ${place}`).toBeLessThan(share(apartS) * (1 + 2 * RMS_TOLERANCE));
      expect(step(place) / second, `epoch ${place}`).toBeGreaterThan(0.5 * share(apartS));
    }
  });

  it('speed and course over ground stay right', () => {
    const all = thereAndBack(simulator({ trajectory: EASTWARD, seed: 4 }));
    for (const { epoch } of all.slice(2)) {
      // Five standard deviations of 5 cm/s and a dilution of two.
      expect(Math.abs((epoch.report.speedMps as number) - SPEED_MPS)).toBeLessThan(0.5);
      expect(Math.abs((epoch.report.courseDeg as number) - 90)).toBeLessThan(1.5);
      expect(offM(epoch)).toBeLessThan(25);
    }
  });

  it('without errors the report is the truth throughout', () => {
    for (const { epoch } of thereAndBack(simulator({ trajectory: EASTWARD, withErrors: false })).slice(2)) {
      expect(offM(epoch)).toBeLessThan(0.001);
      expect(Math.abs((epoch.report.speedMps as number) - SPEED_MPS)).toBeLessThan(0.001);
    }
  });
});

describe('raw measurements while the rate changes', () => {
  const TWO_BANDS: Wish = {
    systems: ['gps', 'glonass', 'galileo', 'beidou'],
    receiver: { bands: ['L1', 'L5'], antenna: 'good' },
    withObservations: true,
  };
  const keyOf = ({ id, kind }: Observation) => `${id}/${kind.name}`;
  const lambdaM = ({ kind, frequencyNumber }: Observation) => C_MPS / carrierHz(kind, frequencyNumber);

  /** Neighbours in time of each signal from epoch 3 on, and how far apart they are. */
  function pairs(all: readonly Epoch[]) {
    const found: Array<{ last: Observation; now: Observation; apartS: number }> = [];
    for (let i = 4; i < all.length; i++) {
      const before = new Map(all[i - 1]!.observations.map((each) => [keyOf(each), each]));
      for (const now of all[i]!.observations) {
        const last = before.get(keyOf(now));
        if (last === undefined) continue;
        expect(now.isFresh, `${keyOf(now)} at ${all[i]!.atMs} ms`).toBe(false);
        found.push({ last, now, apartS: (all[i]!.atMs - all[i - 1]!.atMs) / 1000 });
      }
    }
    expect(found.length).toBeGreaterThan(1500);
    return found;
  }

  it('without errors code, carrier and Doppler tell the same way', () => {
    const all = thereAndBack(simulator({ ...TWO_BANDS, errors: NO_ERRORS })).map(({ epoch }) => epoch);
    for (const { last, now, apartS } of pairs(all)) {
      const code = now.pseudorangeM - last.pseudorangeM;
      // What doubles of 1e8 cycles round off.
      expect(Math.abs(code - (now.carrierCycles - last.carrierCycles) * lambdaM(now))).toBeLessThan(1e-6);
      const doppler = (-(now.dopplerHz + last.dopplerHz) / 2) * lambdaM(now) * apartS;
      // A twelfth of the change of the acceleration in a second, and the interpolation of orbits.
      expect(Math.abs(code - doppler)).toBeLessThan(5e-5);
    }
  });

  it('with errors the carrier does not slip, and the code goes on where it was', () => {
    const errors = { ...ALL_ERRORS, receiverClock: false };
    const all = thereAndBack(simulator({ ...TWO_BANDS, seed: 6, errors })).map(({ epoch }) => epoch);
    for (const { last, now, apartS } of pairs(all)) {
      const doppler = (-(now.dopplerHz + last.dopplerHz) / 2) * lambdaM(now) * apartS;
      const carrier = (now.carrierCycles - last.carrierCycles) * lambdaM(now) - doppler;
      const dopplerSigmaMps = 0.05 * 10 ** ((45 - Math.min(now.cn0DbHz, last.cn0DbHz)) / 20);
      // Six standard deviations of Doppler's noise (common practice), and a centimetre of carrier noise, reflections.
      expect(Math.abs(carrier)).toBeLessThan(6 * dopplerSigmaMps * apartS + 0.01);
      const code = now.pseudorangeM - last.pseudorangeM - doppler;
      // Code noise of a weak signal is 2 m, reflections as much: a step of six standard deviations in a second.
      expect(Math.abs(code)).toBeLessThan(12 * Math.sqrt(Math.min(1, apartS)));
    }
  });
});

describe('what counts in seconds keeps counting in seconds', () => {
  it('dead reckoning lasts as long as is set, at whatever rate', () => {
    const smoothing = { holdBelowMps: null, lowPassS: 0, deadReckoningS: 6 };
    const hooks = { surroundings: (atMs: number) => (atMs >= 20_000 ? ({ kind: 'tunnel' } as const) : OPEN_SKY) };
    const run = simulator({ trajectory: EASTWARD, receiver: { smoothing }, hooks });
    epochs(run, 22);
    run.changeInterval(100);
    const all = [run.next(21_400), ...epochs(run, 60)];
    const lastEstimated = all.findLast(({ report }) => report.mode === 'E') as Epoch;
    // The first epoch without satellites, at 20 s, counts as a second of them: the last with them was at 19 s.
    expect(lastEstimated.atMs).toBe(25_000);
    // 20 m/s carried on for 6 s, and five standard deviations of 5 cm/s.
    expect(offM(lastEstimated)).toBeLessThan(25);
  });

  it('a low-pass has its time constant: without it a step of the rate would make a lag', () => {
    const smoothing = { holdBelowMps: null, lowPassS: 10, deadReckoningS: 0 };
    const run = simulator({ trajectory: EASTWARD, withErrors: false, receiver: { smoothing } });
    for (const { epoch } of thereAndBack(run).slice(3)) expect(offM(epoch)).toBeLessThan(0.01);
  });

  it('a signal that is pulled off by 1000 m/s is followed', () => {
    const hooks: Wish['hooks'] = {
      signals: (signals, atMs) => {
        for (const signal of signals) {
          signal.falseRangeM = atMs;
          signal.falseRangeRateMps = 1000;
        }
      },
    };
    for (const { epoch } of thereAndBack(simulator({ hooks })).slice(3)) {
      expect(epoch.report.fix, `${epoch.atMs} ms`).toBe('3d');
    }
  });

  it('the rate of turn is that of the heading', () => {
    const turning: Trajectory = {
      ...EASTWARD,
      at: (tS) => ({ ...EASTWARD.at(0), courseDeg: (6 * tS) % 360 }),
    };
    const run = simulator({ trajectory: turning, errors: NO_ERRORS, receiver: { heading: 'two-antennas' } });
    for (const { epoch } of thereAndBack(run).slice(3)) {
      expect(Math.abs((epoch.report.heading?.rateDegPerMin as number) - 360)).toBeLessThan(1e-6);
    }
  });
});
