import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  klobucharObliquity,
  klobucharVerticalM,
  TYPICAL_KLOBUCHAR,
} from '../../../src/sim/signal/atmosphere/klobuchar.js';
import { saastamoinenZenithM } from '../../../src/sim/signal/atmosphere/saastamoinen.js';

const range = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const LATITUDE = range(-Math.PI / 2, Math.PI / 2);
const ANGLE = range(-Math.PI, Math.PI);
const ELEVATION = range(0, Math.PI / 2);
const DAY_S = 86_400;
/** What the sum of a time of week and a longitude rounds off. */
const ROUNDING_M = 1e-12;
/** Light in 5 ns: what the model gives at night, less a rounding. */
const LEAST_DELAY_M = 1.49;
/** Steps of the message: IS-GPS-200N, table 20-X. */
const ALPHA_STEPS = [2 ** -30, 2 ** -27, 2 ** -24, 2 ** -24];
const BETA_STEPS = [2 ** 11, 2 ** 14, 2 ** 16, 2 ** 16];

describe('ionosphere', () => {
  it('is finite and never less than at night, anywhere and at any time', () => {
    fc.assert(
      fc.property(
        LATITUDE,
        ANGLE,
        ANGLE,
        ELEVATION,
        range(0, 604_800),
        (latitude, longitude, azimuth, elevation, towS) => {
          const verticalM = klobucharVerticalM(TYPICAL_KLOBUCHAR, latitude, longitude, azimuth, elevation, towS);
          const delayM = verticalM * klobucharObliquity(elevation);
          expect(delayM).toBeGreaterThan(LEAST_DELAY_M);
          expect(delayM).toBeLessThan(200);
        },
      ),
    );
  });

  it('is greatest at two in the afternoon and level at night', () => {
    const at = (hour: number) => klobucharVerticalM(TYPICAL_KLOBUCHAR, 0.3, 0, 0, Math.PI / 2, hour * 3600);
    const hours = Array.from({ length: 24 }, (_, hour) => at(hour));
    expect(hours.indexOf(Math.max(...hours))).toBe(14);
    expect(at(2)).toBe(at(3));
  });

  it('repeats every day', () => {
    const at = (towS: number) => klobucharVerticalM(TYPICAL_KLOBUCHAR, 0.6, 1, 2, 0.5, towS);
    expect(Math.abs(at(50_000 + 6 * DAY_S) - at(50_000))).toBeLessThan(ROUNDING_M);
  });

  it('is longer the lower the satellite stands: three times at the horizon', () => {
    expect(klobucharObliquity(0) / klobucharObliquity(Math.PI / 2)).toBeGreaterThan(3);
    expect(klobucharObliquity(0.2)).toBeGreaterThan(klobucharObliquity(0.4));
  });

  it('the coefficients used without a file are what a message can say', () => {
    TYPICAL_KLOBUCHAR.alpha.forEach((alpha, i) => {
      const steps = alpha / (ALPHA_STEPS[i] as number);
      expect(Number.isInteger(steps) && Math.abs(steps) < 128).toBe(true);
    });
    TYPICAL_KLOBUCHAR.beta.forEach((beta, i) => {
      const steps = beta / (BETA_STEPS[i] as number);
      expect(Number.isInteger(steps) && Math.abs(steps) < 128).toBe(true);
    });
  });
});

describe('troposphere', () => {
  it('is finite and positive at any place and height, thinner the higher', () => {
    fc.assert(
      fc.property(LATITUDE, range(-500, 100_000), range(0.05, Math.PI / 2), (latitude, heightM, elevation) => {
        const delayM = saastamoinenZenithM(latitude, heightM) / Math.sin(elevation);
        expect(delayM >= 0 && delayM < 60).toBe(true);
        expect(saastamoinenZenithM(latitude, heightM + 100)).toBeLessThanOrEqual(
          saastamoinenZenithM(latitude, heightM),
        );
      }),
    );
  });

  it('delays more in moist air', () => {
    expect(saastamoinenZenithM(0.7, 0, 1)).toBeGreaterThan(saastamoinenZenithM(0.7, 0, 0.2));
  });
});
