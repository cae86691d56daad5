import { describe, expect, it } from 'vitest';
import type { Epoch, Observation } from '../../../src/sim/epoch.js';
import { ALL_ERRORS, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { carrierHz } from '../../../src/sim/signal/signal-kind.js';
import { OPEN_SKY } from '../../../src/sim/surroundings.js';
import { epochs, rms, simulator, type Wish } from './still.js';

const C_MPS = 299_792_458;
const TWO_BANDS: Wish = {
  systems: ['gps', 'glonass', 'galileo', 'beidou'],
  receiver: { bands: ['L1', 'L5'], antenna: 'good' },
  withObservations: true,
};
/** Doubles hold ranges of 4e7 m and phases of 1e8 cycles to a hundredth of a micrometre and some nanocycles. */
const ROUNDING_M = 1e-6;

/**
 * What the mean Doppler at both ends of a second is off the range's change in it: a twelfth of what the acceleration
 * changes by (1e-4 m/s3), and the interpolation of orbits (0.01 mm/s).
 */
const RATE_M = 5e-5;
/** Doppler's noise at 45 dB-Hz, m/s (common practice). */
const DOPPLER_MPS = 0.05;
/** Five standard deviations of a root mean square of some 5000 independent values, and reflections' millimetres. */
const NOISE_TOLERANCE = 5 / Math.sqrt(2 * 5000) + 0.01;

const dopplerSigmaMps = ({ cn0DbHz }: Observation) => DOPPLER_MPS * 10 ** ((45 - cn0DbHz) / 20);

const keyOf = ({ id, kind }: Observation) => `${id}/${kind.name}`;
const lambdaM = ({ kind, frequencyNumber }: Observation) => C_MPS / carrierHz(kind, frequencyNumber);

/** Every pair of neighbours in time of one signal that was not found anew between. */
function pairs(all: readonly Epoch[]): Array<readonly [Observation, Observation]> {
  const found: Array<readonly [Observation, Observation]> = [];
  all.slice(1).forEach((epoch, i) => {
    const before = new Map(all[i]?.observations.map((each) => [keyOf(each), each]));
    for (const now of epoch.observations) {
      const last = before.get(keyOf(now));
      if (last !== undefined && !now.isFresh) found.push([last, now]);
    }
  });
  return found;
}

describe('raw measurements', () => {
  it('are empty where nobody asks for them', () => {
    for (const { observations } of epochs(simulator(), 5)) expect(observations).toEqual([]);
  });

  it('are those of every signal that is locked and synchronised, each once, as reported', () => {
    for (const { observations, report, satellites } of epochs(simulator(TWO_BANDS), 40).slice(3)) {
      expect(new Set(observations.map(keyOf)).size).toBe(observations.length);
      const shown = report.inView.flatMap(({ id, signals }) => signals.map(({ kind }) => `${id}/${kind.name}`));
      for (const each of observations) {
        expect(shown).toContain(keyOf(each));
        const signal = satellites.find(({ id }) => id === each.id)?.signals[each.kind.name];
        expect(each.cn0DbHz).toBe(signal?.cn0DbHz);
      }
      for (const id of report.used) expect(observations.some((each) => each.id === id)).toBe(true);
    }
  });

  it('without errors code and carrier tell the same range, of both bands but for group delays', () => {
    const all = epochs(simulator({ ...TWO_BANDS, errors: NO_ERRORS }), 40).slice(3);
    let checked = 0;
    for (const [last, now] of pairs(all)) {
      const code = now.pseudorangeM - last.pseudorangeM;
      const carrier = (now.carrierCycles - last.carrierCycles) * lambdaM(now);
      expect(Math.abs(code - carrier)).toBeLessThan(ROUNDING_M);
      const doppler = (-(now.dopplerHz + last.dopplerHz) / 2) * lambdaM(now);
      expect(Math.abs(code - doppler)).toBeLessThan(RATE_M);
      expect(now.pseudorangeM).toBeGreaterThan(1.8e7);
      expect(now.pseudorangeM).toBeLessThan(4.3e7);
      checked++;
    }
    expect(checked).toBeGreaterThan(1000);
    for (const { observations } of all) {
      for (const id of new Set(observations.map((each) => each.id))) {
        const [first, second] = observations.filter((each) => each.id === id);
        // Group delays of some nanoseconds.
        if (second !== undefined) {
          expect(Math.abs((first?.pseudorangeM as number) - second.pseudorangeM)).toBeLessThan(15);
        }
      }
    }
  });

  it('with errors the carrier goes as Doppler says, within its noise by C/N0, and the code wanders more', () => {
    // The receiver's clock has a noise of its own, which all signals share.
    const errors = { ...ALL_ERRORS, receiverClock: false };
    const all = epochs(simulator({ ...TWO_BANDS, seed: 6, errors }), 200).slice(3);
    const codes: number[] = [];
    const carriers: number[] = [];
    const ratios: number[] = [];
    for (const [last, now] of pairs(all)) {
      const doppler = (-(now.dopplerHz + last.dopplerHz) / 2) * lambdaM(now);
      const carrier = (now.carrierCycles - last.carrierCycles) * lambdaM(now) - doppler;
      carriers.push(carrier);
      codes.push(now.pseudorangeM - last.pseudorangeM - doppler);
      ratios.push(carrier / (Math.hypot(dopplerSigmaMps(last), dopplerSigmaMps(now)) / 2));
    }
    expect(ratios.length).toBeGreaterThan(5000);
    expect(Math.abs(rms(ratios) - 1)).toBeLessThan(NOISE_TOLERANCE);
    expect(rms(codes)).toBeGreaterThan(2 * rms(carriers));
    expect(rms(codes)).toBeLessThan(2);
  });

  it('count anew after a loss, and say so once', () => {
    const surroundings = (atMs: number) => (atMs >= 20_000 && atMs < 25_000 ? ({ kind: 'tunnel' } as const) : OPEN_SKY);
    const all = epochs(simulator({ ...TWO_BANDS, hooks: { surroundings } }), 40);
    expect(all.slice(20, 25).every(({ observations }) => observations.length === 0)).toBe(true);
    for (const [from, until] of [
      [0, 20],
      [25, 40],
    ] as const) {
      const fresh = new Map<string, number>();
      const seen = new Set<string>();
      for (const { observations } of all.slice(from, until)) {
        for (const each of observations) {
          seen.add(keyOf(each));
          if (each.isFresh) fresh.set(keyOf(each), (fresh.get(keyOf(each)) ?? 0) + 1);
        }
      }
      expect(seen.size).toBeGreaterThan(20);
      for (const key of seen) expect(fresh.get(key), key).toBeGreaterThanOrEqual(1);
      // A weak one may drop out once more.
      expect([...fresh.values()].filter((times) => times > 1).length).toBeLessThan(0.1 * seen.size);
    }
  });

  it('do not change the report', () => {
    const plain = epochs(simulator({ ...TWO_BANDS, withObservations: false }), 30);
    const asked = epochs(simulator(TWO_BANDS), 30);
    expect(asked.map(({ report }) => report)).toEqual(plain.map(({ report }) => report));
  });
});
