import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../../src/base/random.js';
import { ReceiverClock } from '../../../src/sim/receiver/receiver-clock.js';

const SEEDS = 2000;
const SPAN_S = 100;
/** Random walk of the frequency, 1/s: 2 pi^2 h-2 with h-2 = 2e-20 of a compensated crystal (from memory). */
const DRIFT_DENSITY_PER_S = 2 * Math.PI ** 2 * 2e-20;
/** White noise of the frequency, s: h0 / 2 with h0 = 2e-19 (from memory). */
const BIAS_DENSITY_S = 1e-19;
/** Five standard deviations of a variance estimated from so many seeds. */
const TOLERANCE = 5 * Math.sqrt(2 / SEEDS);
const HALF_MS = 0.0005;

const clock = (seed: number) => new ReceiverClock(new RandomStreams(seed).stream('receiver-clock'));
/** What is left of a difference of biases without whole milliseconds. */
const fraction = (differenceS: number) => differenceS - 2 * HALF_MS * Math.round(differenceS / (2 * HALF_MS));

describe('receiver clock', () => {
  it('is exactly right where its error is switched off', () => {
    const perfect = new ReceiverClock(null);
    for (const tS of [0, 1, 100, 1e6]) {
      perfect.advance(tS);
      expect([perfect.biasS, perfect.driftSps]).toEqual([0, 0]);
    }
  });

  it('stays within half a millisecond of GPS time, and gets there by steps of a millisecond', () => {
    let steps = 0;
    for (let seed = 0; seed < 20; seed++) {
      const own = clock(seed);
      let before = own.biasS;
      for (let tS = 60; tS <= 86_400; tS += 60) {
        own.advance(tS);
        expect(own.biasS >= -HALF_MS && own.biasS < HALF_MS).toBe(true);
        if (Math.abs(own.biasS - before) > HALF_MS) steps++;
        before = own.biasS;
      }
    }
    expect(steps).toBeGreaterThan(100);
  });

  it('the same seed gives the same clock, and asking twice for an epoch changes nothing', () => {
    const [a, b] = [clock(3), clock(3)];
    for (let tS = 0; tS < 100; tS++) {
      a.advance(tS);
      b.advance(tS);
      b.advance(tS);
      expect([a.biasS, a.driftSps]).toEqual([b.biasS, b.driftSps]);
    }
  });

  it.each([1, 20, 100])(
    'in steps of %i s frequency and bias walk as the two-state model says (Brown and Hwang)',
    (stepS) => {
      let [drifts, biases, products] = [0, 0, 0];
      for (let seed = 0; seed < SEEDS; seed++) {
        const own = clock(seed);
        const { biasS, driftSps } = own;
        for (let tS = stepS; tS <= SPAN_S; tS += stepS) own.advance(tS);
        const drift = own.driftSps - driftSps;
        const bias = fraction(own.biasS - biasS - driftSps * SPAN_S);
        drifts += drift * drift;
        biases += bias * bias;
        products += drift * bias;
      }
      const driftVariance = DRIFT_DENSITY_PER_S * SPAN_S;
      const biasVariance = BIAS_DENSITY_S * SPAN_S + (DRIFT_DENSITY_PER_S * SPAN_S ** 3) / 3;
      expect(Math.abs(drifts / SEEDS / driftVariance - 1)).toBeLessThan(TOLERANCE);
      expect(Math.abs(biases / SEEDS / biasVariance - 1)).toBeLessThan(TOLERANCE);
      expect(Math.abs(products / SEEDS / ((DRIFT_DENSITY_PER_S * SPAN_S ** 2) / 2) - 1)).toBeLessThan(TOLERANCE);
    },
  );
});
