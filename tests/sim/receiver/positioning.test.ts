import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import { type ErrorSwitches, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import type { EpochHooks } from '../../../src/sim/simulator.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import { epochs, errorOf, firstWhere, normalisedSquare, offM, simulator } from './still.js';

const MILLIMETRE_M = 0.001;
const FOUR: readonly SystemName[] = ['gps', 'glonass', 'galileo', 'beidou'];
/** Chi-square with 3 degrees is beyond it once in 10,000 (M. Abramowitz, I. A. Stegun, table 26.8). */
const WORST_SQUARE = 21.11;

const systemsOf = ({ report }: Epoch) => [...new Set(report.used.map((id) => id.charAt(0)))].join('');

/** Lets only signals through that fit. */
function letting(fits: (id: string, atMs: number) => boolean): EpochHooks {
  return {
    signals: (signals, atMs) => {
      for (const signal of signals) if (!fits(signal.id, atMs)) signal.cn0DbHz = -Infinity;
    },
  };
}

describe('clocks of systems', () => {
  it('an offset between systems does not move the position: it is solved for', () => {
    const errors: ErrorSwitches = { ...NO_ERRORS, interSystem: true };
    for (const systems of [['gps', 'glonass'] as const, ['gps', 'galileo'] as const, FOUR]) {
      const run = simulator({ systems, errors });
      for (const epoch of epochs(run, 30).slice(3)) {
        expect(systemsOf(epoch).length).toBe(systems.length);
        const { eastM, northM, upM } = errorOf(epoch);
        expect(Math.hypot(eastM, northM, upM)).toBeLessThan(MILLIMETRE_M);
      }
      const { clockBiasesM } = run.receiver.solution as NonNullable<typeof run.receiver.solution>;
      const [first, ...others] = clockBiasesM as [number, ...number[]];
      // Offsets are metres to tens of metres (common practice).
      for (const biasM of others) expect(Math.abs(biasM - first)).toBeGreaterThan(1);
    }
  });

  it('a single satellite of a system is tracked and not used: it only tells its own clock', () => {
    const single = (epochsAll: readonly Epoch[], letter: string) =>
      epochsAll.map(({ satellites }) => satellites.filter(({ id }) => id.startsWith(letter)));
    const all = epochs(simulator({ systems: ['gps', 'galileo'] }), 5);
    const one = all.at(-1)?.report.used.find((id) => id.startsWith('E')) as string;
    const two = all
      .at(-1)
      ?.report.used.filter((id) => id.startsWith('E'))
      .slice(0, 2) as string[];
    const alone = letting((id) => id.startsWith('G') || id === one);
    const run = epochs(simulator({ systems: ['gps', 'galileo'], hooks: alone }), 20);
    for (const epoch of run.slice(3)) {
      expect(systemsOf(epoch)).toBe('G');
      expect(epoch.report.systemModes).toEqual({ gps: 'A', galileo: 'N' });
    }
    const seen = single(run.slice(3), 'E')
      .flat()
      .filter(({ id }) => id === one);
    expect(seen.every(({ state }) => state === 'tracking')).toBe(true);
    const pair = letting((id) => id.startsWith('G') || two.includes(id));
    const last = epochs(simulator({ systems: ['gps', 'galileo'], hooks: pair }), 20).at(-1) as Epoch;
    expect(systemsOf(last)).toBe('GE');
  });

  it('two of GPS and two of Galileo are three too few for a position, one more of either is a flat one', () => {
    const { report } = epochs(simulator({ systems: ['gps', 'galileo'] }), 5).at(-1) as Epoch;
    const [gps, galileo] = ['G', 'E'].map((letter) => report.used.filter((id) => id.startsWith(letter)));
    const fixWith = (ids: readonly string[]) => {
      const hooks = letting((id, atMs) => atMs < 5000 || ids.includes(id));
      return (epochs(simulator({ systems: ['gps', 'galileo'], hooks }), 12).at(-1) as Epoch).report.fix;
    };
    const few = [...(gps as string[]).slice(0, 2), ...(galileo as string[]).slice(0, 1)];
    expect(fixWith(few)).toBe('none');
    expect(fixWith([...few, (galileo as string[])[1] as string])).toBe('2d');
    expect(fixWith([...few, ...(galileo as string[]).slice(1, 3)])).toBe('3d');
  });
});

describe('one satellite whose range is 100 m off', () => {
  it('is found out, left out and named, and the position stays within its covariance', () => {
    let checked = 0;
    let squares = 0;
    for (let seed = 0; seed < 12; seed++) {
      const wish = { seed, startS: seed * 3000, systems: FOUR };
      const falseM = seed % 2 === 0 ? 100 : -100;
      const { used } = (epochs(simulator(wish), 20).at(-1) as Epoch).report;
      const bad = used[(seed * 7) % used.length] as string;
      const hooks: EpochHooks = {
        signals: (signals, atMs) => {
          if (atMs < 20_000) return;
          for (const signal of signals) if (signal.id === bad) signal.falseRangeM = falseM;
        },
      };
      const run = simulator({ ...wish, hooks });
      const before = epochs(run, 20).at(-1) as Epoch;
      expect(before.report.used).toContain(bad);
      for (const epoch of epochs(run, 20)) {
        const { report, satellites } = epoch;
        expect(report.fix).toBe('3d');
        expect(report.used).not.toContain(bad);
        expect(report.residualsM.length).toBe(report.used.length);
        expect(satellites.find(({ id }) => id === bad)?.state).toBe('tracking');
        expect(report.suspect?.id).toBe(bad);
        // Its own error and that of the others' solution: some metres.
        expect(Math.abs((report.suspect?.biasM as number) - falseM)).toBeLessThan(25);
        const square = normalisedSquare(epoch, run.receiver.solution as NonNullable<typeof run.receiver.solution>);
        expect(square).toBeLessThan(WORST_SQUARE);
        squares += square;
        checked++;
      }
    }
    // Within a run errors hardly change: twelve independent ones of mean 3, variance 6.
    expect(Math.abs(squares / checked - 3)).toBeLessThan(4 * Math.sqrt(6 / 12));
  });

  it('is used again once its range is right', () => {
    const { used } = (epochs(simulator(), 10).at(-1) as Epoch).report;
    const bad = used[1] as string;
    const hooks: EpochHooks = {
      signals: (signals, atMs) => {
        if (atMs < 10_000 || atMs >= 20_000) return;
        for (const signal of signals) if (signal.id === bad) signal.falseRangeM = 100;
      },
    };
    const all = epochs(simulator({ hooks }), 25);
    expect(all.slice(10, 20).some(({ report }) => report.used.includes(bad))).toBe(false);
    expect(all.slice(20).every(({ report }) => report.used.includes(bad))).toBe(true);
  });
});

describe('two bands', () => {
  /** From a minute on nothing of the upper band arrives. */
  const jammed = (fromMs: number): EpochHooks => ({
    signals: (signals, atMs) => {
      if (atMs < fromMs) return;
      for (const signal of signals) if (signal.kind.band === 'L1') signal.cn0DbHz = -Infinity;
    },
  });

  it.each([['gps'], ['gps', 'galileo'], FOUR] as ReadonlyArray<readonly SystemName[]>)(
    '%s: with the upper band jammed the receiver goes on with the lower one, whose errors its covariance covers',
    (...systems) => {
      const run = simulator({ systems, hooks: jammed(60_000), receiver: { bands: ['L1', 'L5'] } });
      const before = epochs(run, 60).at(-1) as Epoch;
      expect(before.report.inView.some(({ signals }) => signals.length === 2)).toBe(true);
      for (const epoch of epochs(run, 60)) {
        expect(epoch.report.fix).toBe('3d');
        for (const { id, signals } of epoch.report.inView) {
          expect(signals.every(({ kind }) => kind.band === 'L5')).toBe(true);
          if (epoch.report.used.includes(id)) expect(signals.length).toBe(1);
        }
        const square = normalisedSquare(epoch, run.receiver.solution as NonNullable<typeof run.receiver.solution>);
        expect(square).toBeLessThan(WORST_SQUARE);
        expect(offM(epoch)).toBeLessThan(30);
      }
    },
  );

  it('with it jammed from a cold start on nothing is ever found: the message is read there', () => {
    const run = simulator({ start: 'cold', hooks: jammed(0), receiver: { bands: ['L1', 'L5'] } });
    for (const { report } of epochs(run, 120)) expect(report).toMatchObject({ fix: 'none', timeKnown: false });
  });

  it('make the error of one band’s ionosphere smaller', () => {
    const errorsOf = (bands: readonly ['L1'] | readonly ['L1', 'L5']) =>
      Array.from({ length: 60 }, (_, seed) => {
        // At noon in the tropics.
        const at = { latitudeDeg: 5, longitudeDeg: 40 };
        return offM(epochs(simulator({ seed, at, receiver: { bands } }), 4).at(-1) as Epoch);
      }).reduce((sum, off) => sum + off * off, 0);
    expect(errorsOf(['L1', 'L5'])).toBeLessThan(0.5 * errorsOf(['L1']));
  });
});

describe('NavIC, which sends in the lower band alone', () => {
  const AT = { latitudeDeg: 20, longitudeDeg: 78 };

  it('is not heard by a receiver of the upper band', () => {
    for (const { report, satellites } of epochs(simulator({ systems: ['navic'], at: AT }), 60)) {
      expect(report).toMatchObject({ fix: 'none', used: [] });
      expect(satellites).toEqual([]);
    }
  });

  it('gives a position over India to one with both, cold too', () => {
    const wish = { systems: ['navic'] as const, at: AT, receiver: { bands: ['L1', 'L5'] as const } };
    const hot = epochs(simulator(wish), 10).at(-1) as Epoch;
    expect(hot.report.fix).toBe('3d');
    expect(hot.report.used.every((id) => id.startsWith('I'))).toBe(true);
    expect(offM(hot)).toBeLessThan(50);
    const cold = firstWhere(simulator({ ...wish, start: 'cold' }), ({ report }) => report.fix === '3d', 150) as Epoch;
    // Two subframes of 12 s.
    expect(cold.atMs).toBeGreaterThanOrEqual(24_000);
    expect(offM(cold)).toBeLessThan(50);
  });
});
