import { describe, expect, it } from 'vitest';
import { ALL_ERRORS, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { NOON_S, overhead, PLACE, place } from './overhead.js';

const SEEDS = 400;
/** Five standard deviations of a variance, and of a correlation, estimated from so many seeds. */
const TOLERANCE = 5 * Math.sqrt(2 / SEEDS);
const ONE_BAND = { differential: false, twoBands: false };

/** A satellite whose interval can be changed. */
function changeable(seed: number, switches = ALL_ERRORS) {
  const interval = { lengthS: 1 };
  const own = overhead('gps', { seed, interval, switches, bands: ['L1'] });
  place(own.view, 120, 40);
  let towS = NOON_S;
  return {
    /** Steps of a length, and the error over its standard deviation after them. */
    step(lengthS: number, count: number): number {
      interval.lengthS = lengthS;
      for (let i = 0; i < count; i++) {
        towS += lengthS;
        own.errors.step(own.view, PLACE, towS, 0);
      }
      const out = { errorM: 0, sigmaM: 0, rangeRateErrorMps: 0, rangeRateSigmaMps: 0 };
      own.errors.corrected(own.signals, ONE_BAND, out);
      return out.errorM / out.sigmaM;
    },
    errors: own.errors,
    signals: own.signals,
  };
}

describe('errors of ranges whose interval changes', () => {
  it('keep the standard deviation that the receiver weights them with', () => {
    const stretches = [
      [1, 8],
      [0.4, 1],
      [0.1, 23],
      [0.1, 40],
      [1, 1],
      [1, 7],
      [10, 2],
    ] as const;
    const squares = stretches.map(() => 0);
    for (let seed = 0; seed < SEEDS; seed++) {
      const own = changeable(seed);
      stretches.forEach(([lengthS, count], k) => {
        squares[k]! += own.step(lengthS, count) ** 2 / SEEDS;
      });
    }
    for (const square of squares) expect(Math.abs(square - 1)).toBeLessThan(TOLERANCE);
  });

  it.each([
    ['ionosphere', 1800],
    ['troposphere', 1800],
    ['satelliteClock', 7200],
  ] as const)(
    '%s has its correlation time of %d s at 100 ms as at 1 s',
    (name, correlationS) => {
      let [square, product] = [0, 0];
      for (let seed = 0; seed < SEEDS; seed++) {
        const own = changeable(seed, { ...NO_ERRORS, [name]: true });
        const first = own.step(1, 13);
        const later = own.step(0.1, 6000);
        square += later ** 2 / SEEDS;
        product += (first * later) / SEEDS;
      }
      expect(Math.abs(square - 1)).toBeLessThan(TOLERANCE);
      expect(Math.abs(product - Math.exp(-600 / correlationS))).toBeLessThan(TOLERANCE);
    },
    30_000,
  );

  it.each(['ionosphere', 'troposphere', 'satelliteClock', 'orbit'] as const)('%s goes on where it was', (name) => {
    for (let seed = 0; seed < 20; seed++) {
      const own = changeable(seed, { ...NO_ERRORS, [name]: true });
      let before = own.step(1, 4 + (seed % 9));
      for (const [lengthS, count] of [
        [0.4, 1],
        [0.1, 60],
        [0.7, 1],
        [1, 20],
        [0.1, 5],
      ] as const) {
        for (let i = 0; i < count; i++) {
          const now = own.step(lengthS, 1);
          // Gone over to linearly from draw to draw: half an hour's process makes 0.07 in 5 s, five of it in the worst.
          expect(Math.abs(now - before)).toBeLessThan(0.08 * lengthS + 1e-9);
          before = now;
        }
      }
    }
  });
});
