import { describe, expect, it } from 'vitest';
import { LinkBudget, receivedPowerDbw } from '../../src/sim/signal/link-budget.js';

/** The budget prints tenths of dB: three rounded terms. */
const PRINTED_DB = 0.2;
/** Measured, at 5 to 10 deg: 36.0 in the median with a choke ring, up to 38 with a patch, which sees low satellites. */
const PATCH_ABOVE_DB = 3;
const DEG = Math.PI / 180;

/** Published budget of GPS L1 C/A into 0 dBi: elevation, range, received power. */
const BUDGET: ReadonlyArray<readonly [elevationDeg: number, rangeKm: number, receivedDbw: number]> = [
  [5, 25_150, -158.1],
  [50, 21_410, -155.4],
  [90, 20_180, -158.2],
];
/** IS-GPS-200: the greatest received power that is to be expected, dBW; DO-229 and it: the least at 5 deg. */
const GREATEST_DBW = -153;
const LEAST_DBW = -158.5;

describe('published GPS L1 C/A link budget (16.5 dBW; 13.8, 15.1, 11.8 dBi; 4 dB loss)', () => {
  it.each(BUDGET)('at %d deg and %d km %d dBW arrive', (elevationDeg, rangeKm, receivedDbw) => {
    const power = receivedPowerDbw(Math.sin(elevationDeg * DEG), rangeKm * 1000);
    expect(Math.abs(power - receivedDbw)).toBeLessThan(PRINTED_DB);
  });

  it('IS-GPS-200: from 5 deg up never below the specified minimum nor above the greatest expected power', () => {
    for (let elevationDeg = 5; elevationDeg <= 90; elevationDeg += 1) {
      const s = Math.sin(elevationDeg * DEG);
      const rangeM = -6_371_000 * s + Math.sqrt(26_559_700 ** 2 - 6_371_000 ** 2 * (1 - s * s));
      const power = receivedPowerDbw(s, rangeM);
      expect(power).toBeGreaterThan(LEAST_DBW);
      expect(power).toBeLessThan(GREATEST_DBW);
    }
  });

  it('the inverse square: twice the range, 6.02 dB less', () => {
    const difference = receivedPowerDbw(0.5, 2e7) - receivedPowerDbw(0.5, 4e7);
    expect(Math.abs(difference - 20 * Math.log10(2))).toBeLessThan(1e-9);
  });
});

describe('C/N0 without fading', () => {
  it('is defined from horizon to zenith, and a patch never hears more than 3 dB above a good antenna', () => {
    const [good, patch] = [new LinkBudget('good'), new LinkBudget('patch')];
    for (let s = 0; s <= 1; s += 1 / 512) {
      expect(Number.isFinite(good.cn0DbHz(s, 0)) && Number.isFinite(patch.cn0DbHz(s, 0)), `sine ${s}`).toBe(true);
      // Below 5 deg neither was measured.
      if (s > Math.sin(5 * DEG))
        expect(patch.cn0DbHz(s, 0) - good.cn0DbHz(s, 0), `sine ${s}`).toBeLessThan(PATCH_ABOVE_DB);
    }
  });
});
