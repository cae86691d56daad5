import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { GPS_L1_HZ } from '../../../src/base/constants.js';
import { RandomStreams } from '../../../src/base/random.js';
import { codeNoiseM, SATELLITE_SIZES } from '../../../src/sim/signal/error-sizes.js';
import { ALL_ERRORS, type ErrorSwitches, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { interSystemOffsetsM } from '../../../src/sim/signal/inter-system.js';
import type { CorrectionWay, MeasurementError } from '../../../src/sim/signal/range-errors.js';
import { SYSTEM_NAMES, type SystemName } from '../../../src/sim/sky/system.js';
import { NOON_S, type Overhead, type OverheadOptions, overhead, PLACE, place } from './overhead.js';

const ONE_BAND: CorrectionWay = { differential: false, twoBands: false };
const TWO_BANDS: CorrectionWay = { differential: false, twoBands: true };
const DIFFERENTIAL: CorrectionWay = { differential: true, twoBands: false };
const ELEVATIONS_DEG = [3, 10, 25, 50, 90];
const SEEDS = 1000;
/** Five standard deviations of a mean, of a variance and of a correlation estimated from so many seeds. */
const MEAN_TOLERANCE = 5 / Math.sqrt(SEEDS);
const VARIANCE_TOLERANCE = 5 * Math.sqrt(2 / SEEDS);
/** What sums of terms of some tens of metres round off, m. */
const ROUNDING_M = 1e-9;

const only = (name: keyof ErrorSwitches): ErrorSwitches => ({ ...NO_ERRORS, [name]: true });
const without = (name: keyof ErrorSwitches): ErrorSwitches => ({ ...ALL_ERRORS, [name]: false });

/** Steps a satellite that stands still, and gives its errors at the last epoch. */
function errorAfter(own: Overhead, steps: number, way = ONE_BAND, fromS = NOON_S, speedMps = 0): MeasurementError {
  for (let i = 0; i < steps; i++) own.errors.step(own.view, PLACE, fromS + i, speedMps);
  const out = { errorM: 0, sigmaM: 0, rangeRateErrorMps: 0, rangeRateSigmaMps: 0 };
  own.errors.corrected(own.signals, way, out);
  return out;
}

function at(system: SystemName, elevationDeg: number, options: OverheadOptions = {}): Overhead {
  const own = overhead(system, options);
  place(own.view, 120, elevationDeg);
  return own;
}

/** Mean and variance of the error over its own standard deviation, over many seeds. */
function normalised(system: SystemName, elevationDeg: number, way: CorrectionWay, steps: number) {
  let [mean, variance, rate] = [0, 0, 0];
  for (let seed = 0; seed < SEEDS; seed++) {
    const out = errorAfter(at(system, elevationDeg, { seed }), steps, way, NOON_S, 3);
    const unit = out.errorM / out.sigmaM;
    mean += unit / SEEDS;
    variance += unit ** 2 / SEEDS;
    rate += (out.rangeRateErrorMps / out.rangeRateSigmaMps) ** 2 / SEEDS;
  }
  return { mean, variance, rate };
}

describe('errors of corrected ranges', () => {
  const cases = SYSTEM_NAMES.map(
    (system, i) => [system, ELEVATIONS_DEG[i % ELEVATIONS_DEG.length] as number, 1 + i] as const,
  );
  it.each(cases)('%s at %d deg, epoch %i: over many seeds zero mean and the standard deviation claimed', (...args) => {
    const [system, elevationDeg, steps] = args;
    for (const way of [ONE_BAND, { differential: true, twoBands: true }]) {
      const { mean, variance, rate } = normalised(system, elevationDeg, way, steps);
      expect(Math.abs(mean)).toBeLessThan(MEAN_TOLERANCE);
      expect(Math.abs(variance - 1)).toBeLessThan(VARIANCE_TOLERANCE);
      expect(Math.abs(rate - 1)).toBeLessThan(VARIANCE_TOLERANCE);
    }
  });

  it.each(ELEVATIONS_DEG)(
    'gps with two bands at %d deg: zero mean and the standard deviation claimed',
    (elevationDeg) => {
      const { mean, variance } = normalised('gps', elevationDeg, TWO_BANDS, 4);
      expect(Math.abs(mean)).toBeLessThan(MEAN_TOLERANCE);
      expect(Math.abs(variance - 1)).toBeLessThan(VARIANCE_TOLERANCE);
    },
  );

  it('two satellites, and two epochs far apart, have nothing in common', () => {
    let [between, apart] = [0, 0];
    for (let seed = 0; seed < SEEDS; seed++) {
      const a = at('gps', 30, { seed, number: 1 });
      const first = errorAfter(a, 2);
      const b = errorAfter(at('gps', 30, { seed, number: 2 }), 2);
      between += ((first.errorM / first.sigmaM) * (b.errorM / b.sigmaM)) / SEEDS;
    }
    const long = Math.round(4 * 7200);
    const few = 40;
    for (let seed = 0; seed < few; seed++) {
      const a = at('gps', 30, { seed, bands: ['L1'], interval: { lengthS: 60 } });
      const first = errorAfter(a, 1);
      for (let i = 1; i <= long / 60; i++) a.errors.step(a.view, PLACE, NOON_S + i * 60, 0);
      const out = { errorM: 0, sigmaM: 0, rangeRateErrorMps: 0, rangeRateSigmaMps: 0 };
      a.errors.corrected(a.signals, ONE_BAND, out);
      apart += ((first.errorM / first.sigmaM) * (out.errorM / out.sigmaM)) / few;
    }
    expect(Math.abs(between)).toBeLessThan(MEAN_TOLERANCE);
    expect(Math.abs(apart)).toBeLessThan(5 / Math.sqrt(few));
  });

  it('are larger near the horizon, smaller with differential corrections, smaller with a second band at noon', () => {
    const sigma = (elevationDeg: number, way: CorrectionWay) => errorAfter(at('gps', elevationDeg), 1, way).sigmaM;
    expect(sigma(5, ONE_BAND)).toBeGreaterThan(1.5 * sigma(60, ONE_BAND));
    for (const elevationDeg of [5, 15, 60]) {
      expect(sigma(elevationDeg, DIFFERENTIAL)).toBeLessThan(0.8 * sigma(elevationDeg, ONE_BAND));
      expect(sigma(elevationDeg, TWO_BANDS)).toBeLessThan(sigma(elevationDeg, ONE_BAND));
    }
  });

  it('two bands take a large ionosphere out: with it alone, nothing is left', () => {
    const own = at('gps', 20, { switches: only('ionosphere') });
    const one = errorAfter(own, 3, ONE_BAND);
    const both = errorAfter(own, 0, TWO_BANDS);
    expect(Math.abs(one.errorM)).toBeGreaterThan(0.01);
    expect(Math.abs(both.errorM)).toBeLessThan(ROUNDING_M);
    const terms = own.errors.terms(own.signals, TWO_BANDS);
    expect(Math.abs(terms.ionosphereM - terms.ionosphereCorrectionM)).toBeLessThan(ROUNDING_M);
  });

  it('a way round by reflection lengthens the range by all of it, and the receiver does not know', () => {
    const own = at('gps', 20);
    const straight = errorAfter(own, 3);
    own.signals[0]!.detourM = 40;
    const round = errorAfter(own, 0);
    expect(Math.abs(round.errorM - straight.errorM - 40)).toBeLessThan(ROUNDING_M);
    own.signals[0]!.detourM = 0;
    own.signals[0]!.multipathScale = 5;
    const reflected = errorAfter(own, 0);
    const { multipathM } = own.errors.terms(own.signals, ONE_BAND);
    expect(Math.abs(reflected.errorM - straight.errorM - (multipathM * 4) / 5)).toBeLessThan(ROUNDING_M);
    expect([round.sigmaM, reflected.sigmaM]).toEqual([straight.sigmaM, straight.sigmaM]);
  });

  it('reflections change in a second when driving, hardly when standing', () => {
    const change = (speedMps: number) => {
      let sum = 0;
      for (let seed = 0; seed < 200; seed++) {
        const own = at('gps', 20, { seed, switches: only('multipath') });
        const before = errorAfter(own, 30, ONE_BAND, NOON_S, speedMps);
        const after = errorAfter(own, 1, ONE_BAND, NOON_S + 30, speedMps);
        sum += ((after.errorM - before.errorM) / after.sigmaM) ** 2 / 200;
      }
      return sum;
    };
    expect(change(0)).toBeLessThan(0.1);
    expect(change(20)).toBeGreaterThan(1.5);
  });

  it('the same seed gives the same errors, and whether they are looked at changes none', () => {
    const [a, b] = [at('galileo', 30), at('galileo', 30)];
    for (let i = 0; i < 50; i++) {
      if (i % 3 === 0) a.errors.carrierErrorM(a.signals[0]!);
      if (i % 7 === 0) a.errors.terms(a.signals, TWO_BANDS);
      const first = errorAfter(a, 1, ONE_BAND, NOON_S + i);
      errorAfter(a, 0, TWO_BANDS);
      expect(first).toEqual(errorAfter(b, 1, ONE_BAND, NOON_S + i));
      expect(a.errors.carrierErrorM(a.signals[1]!)).toBe(b.errors.carrierErrorM(b.signals[1]!));
    }
  });
});

describe('terms', () => {
  it('add up to the error of the corrected range, with one band, two, and differential corrections', () => {
    for (const differential of [false, true]) {
      for (const twoBands of [false, true]) {
        const way = { differential, twoBands };
        const own = at('beidou', 35, { interSystemM: 17 });
        own.signals[0]!.detourM = 3;
        const { errorM } = errorAfter(own, 7, way);
        const t = own.errors.terms(own.signals, way);
        const sum = t.satelliteClockM + t.orbitM - t.differentialCorrectionM + t.ionosphereM - t.ionosphereCorrectionM;
        const rest = t.troposphereM - t.troposphereCorrectionM + t.interSystemM + t.multipathM + t.noiseM;
        expect(Math.abs(sum + rest - errorM)).toBeLessThan(ROUNDING_M);
      }
    }
  });

  it('with all switched off are exactly zero, and the standard deviation is positive', () => {
    const own = at('glonass', 12, { switches: NO_ERRORS, interSystemM: 30 });
    for (const way of [ONE_BAND, TWO_BANDS, DIFFERENTIAL]) {
      const out = errorAfter(own, 20, way);
      expect([out.errorM, out.rangeRateErrorMps]).toEqual([0, 0]);
      expect(out.sigmaM > 0 && out.rangeRateSigmaMps > 0).toBe(true);
      for (const term of Object.values(own.errors.terms(own.signals, way))) expect(term).toBe(0);
    }
    for (const signal of own.signals) {
      const errors = [own.errors.pseudorangeErrorM(signal), own.errors.carrierErrorM(signal)];
      expect([...errors, own.errors.rangeRateErrorMps(signal)]).toEqual([0, 0, 0]);
    }
  });

  it.each([
    ['satelliteClock', ['satelliteClockM']],
    ['orbit', ['orbitM']],
    ['ionosphere', ['ionosphereM', 'ionosphereCorrectionM']],
    ['troposphere', ['troposphereM', 'troposphereCorrectionM']],
    ['multipath', ['multipathM']],
    ['noise', ['noiseM']],
    ['interSystem', ['interSystemM']],
  ] as const)('%s switched off takes its own terms away, and moves no other', (name, off) => {
    const all = at('galileo', 40, { interSystemM: 5 });
    const less = at('galileo', 40, { interSystemM: 5, switches: without(name) });
    errorAfter(all, 9);
    errorAfter(less, 9);
    const before = Object.entries(all.errors.terms(all.signals, ONE_BAND));
    const after = less.errors.terms(less.signals, ONE_BAND) as unknown as Record<string, number>;
    for (const [term, value] of before) {
      if (term === 'differentialCorrectionM') continue;
      const isOff = (off as readonly string[]).includes(term);
      if (isOff) expect(Math.abs(value)).toBeGreaterThan(0);
      expect([term, after[term]]).toEqual([term, isOff ? 0 : value]);
    }
  });

  it('the orbit error has the 3D medians measured, broadcast minus precise of 2020-06-25 (nav-solutions/data)', () => {
    const count = 20_000;
    for (const [system, medianM] of [
      ['gps', 1.31],
      ['galileo', 0.9],
      ['glonass', 2.78],
    ] as const) {
      const { radialM, alongM, crossM } = SATELLITE_SIZES[system];
      const stream = new RandomStreams(4).stream(system);
      const part = (sizeM: number) => sizeM * stream.normal();
      const lengths = Array.from({ length: count }, () => Math.hypot(part(radialM), part(alongM), part(crossM)));
      const measured = lengths.sort((a, b) => a - b)[count / 2] as number;
      // Five standard deviations of a median: 5 * sqrt(pi / 2) * 0.6 of the length's spread / sqrt(count).
      expect(Math.abs(measured / medianM - 1)).toBeLessThan(0.03);
    }
  });

  it('of the orbit error, what is across the line of sight at the zenith does not count', () => {
    let [zenith, horizon] = [0, 0];
    for (let seed = 0; seed < SEEDS; seed++) {
      zenith += errorAfter(at('gps', 90, { seed, switches: only('orbit') }), 1).errorM ** 2 / SEEDS;
      horizon += errorAfter(at('gps', 1, { seed, switches: only('orbit') }), 1).errorM ** 2 / SEEDS;
    }
    const radialM = SATELLITE_SIZES.gps.radialM;
    expect(Math.abs(zenith / radialM ** 2 - 1)).toBeLessThan(VARIANCE_TOLERANCE);
    expect(horizon).toBeGreaterThan(1.1 * zenith);
    expect(Math.sqrt(horizon)).toBeLessThan(SATELLITE_SIZES.gps.alongM / 2);
  });
});

describe('raw measurements', () => {
  it('the ionosphere delays the code and advances the carrier as much, more on the lower carrier by (f1 / f)^2', () => {
    for (const system of ['gps', 'glonass', 'beidou'] as const) {
      const own = at(system, 25, { switches: only('ionosphere'), bands: ['L1', 'L2'] });
      errorAfter(own, 4);
      const [first, second] = own.signals;
      expect(own.errors.pseudorangeErrorM(first!)).toBeGreaterThan(1);
      for (const signal of own.signals) {
        expect(own.errors.carrierErrorM(signal)).toBe(-own.errors.pseudorangeErrorM(signal));
      }
      const carrier = (i: number) => {
        const { carrierHz, channelStepHz } = own.signals[i]!.kind;
        return carrierHz + 3 * channelStepHz;
      };
      const ratio = own.errors.pseudorangeErrorM(second!) / own.errors.pseudorangeErrorM(first!);
      expect(Math.abs(ratio - (carrier(0) / carrier(1)) ** 2)).toBeLessThan(1e-12);
      if (system === 'gps') expect(carrier(0)).toBe(GPS_L1_HZ);
    }
  });

  it('the code is the corrected range before its corrections', () => {
    const own = at('gps', 25, { interSystemM: 0 });
    const { errorM } = errorAfter(own, 6);
    const terms = own.errors.terms(own.signals, ONE_BAND);
    const corrected =
      own.errors.pseudorangeErrorM(own.signals[0]!) - terms.ionosphereCorrectionM - terms.troposphereCorrectionM;
    expect(Math.abs(corrected - errorM)).toBeLessThan(ROUNDING_M);
  });

  it('the carrier repeats to millimetres and goes on without a jump as the satellite moves', () => {
    const own = at('gps', 25, { switches: { ...ALL_ERRORS, troposphere: false } });
    let before = Number.NaN;
    for (let i = 0; i < 600; i++) {
      place(own.view, 120, 25 + i * 0.005);
      own.errors.step(own.view, PLACE, NOON_S + i, 0);
      const carrierM = own.errors.carrierErrorM(own.signals[0]!);
      // Slow processes move by some millimetres a second, the noise by less than one, reflections by as much.
      if (i > 0) expect(Math.abs(carrierM - before)).toBeLessThan(0.03);
      before = carrierM;
    }
  });

  it('the code noise falls with the amplitude in strong signal, faster in weak, and with the chip length', () => {
    const ratio = (cn0DbHz: number, moreDb: number) => {
      const amplitude = 10 ** (cn0DbHz / 20);
      return codeNoiseM(amplitude, 293) / codeNoiseM(amplitude * 10 ** (moreDb / 20), 293);
    };
    expect(Math.abs(ratio(45, 6) - 10 ** (6 / 20))).toBeLessThan(0.01);
    expect(ratio(15, 6)).toBeGreaterThan(2.5);
    const [own, spread] = [at('gps', 60, { switches: only('noise') }), [] as number[]];
    for (const cn0DbHz of [25, 35, 45]) {
      own.signals[0]!.cn0DbHz = cn0DbHz;
      spread.push(errorAfter(own, 1).sigmaM);
    }
    expect(spread[0]! > 3 * spread[1]! && spread[1]! > 3 * spread[2]!).toBe(true);
    expect(Math.abs(codeNoiseM(100, 29.3) / codeNoiseM(100, 293) - 0.1)).toBeLessThan(1e-12);
  });
});

describe('whatever arrives', () => {
  it('no error is other than a number, for any elevation, azimuth, C/N0 and speed', () => {
    const value = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    const arbitrary = fc.tuple(
      fc.constantFrom(...SYSTEM_NAMES),
      value(0, 90),
      value(0, 360),
      fc.oneof(value(0, 60), fc.constant(Number.NEGATIVE_INFINITY)),
      value(0, 1000),
      fc.integer(),
    );
    fc.assert(
      fc.property(arbitrary, ([system, elevationDeg, azimuthDeg, cn0DbHz, speedMps, seed]) => {
        const own = overhead(system, { seed, bands: ['L1', 'L2', 'L5'] });
        place(own.view, azimuthDeg, elevationDeg);
        for (const signal of own.signals) signal.cn0DbHz = cn0DbHz;
        for (const way of [ONE_BAND, TWO_BANDS, DIFFERENTIAL]) {
          const out = errorAfter(own, 3, way, NOON_S, speedMps);
          for (const each of Object.values(out)) expect(Number.isFinite(each)).toBe(true);
          expect(out.sigmaM > 0 && out.rangeRateSigmaMps > 0).toBe(true);
          for (const term of Object.values(own.errors.terms(own.signals, way)))
            expect(Number.isFinite(term)).toBe(true);
        }
        for (const signal of own.signals) {
          expect(Number.isFinite(own.errors.pseudorangeErrorM(signal))).toBe(true);
          expect(Number.isFinite(own.errors.carrierErrorM(signal))).toBe(true);
        }
      }),
    );
  });
});

describe('offsets of the systems', () => {
  it('are none for gps, qzss and sbas, metres to tens for the others, and zero when switched off', () => {
    for (let seed = 0; seed < 50; seed++) {
      const offsets = interSystemOffsetsM(new RandomStreams(seed), ALL_ERRORS);
      expect([offsets.gps, offsets.qzss, offsets.sbas]).toEqual([0, 0, 0]);
      for (const system of ['galileo', 'beidou', 'navic', 'glonass'] as const) {
        expect(Math.abs(offsets[system])).toBeGreaterThanOrEqual(2);
        expect(Math.abs(offsets[system])).toBeLessThanOrEqual(60);
      }
      expect(Math.abs(offsets.glonass)).toBeGreaterThanOrEqual(15);
      expect(interSystemOffsetsM(new RandomStreams(seed), ALL_ERRORS)).toEqual(offsets);
      expect(Object.values(interSystemOffsetsM(new RandomStreams(seed), NO_ERRORS))).toEqual(SYSTEM_NAMES.map(() => 0));
    }
  });
});
