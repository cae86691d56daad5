import { SECONDS_PER_WEEK } from '../../base/constants.js';
import { GaussMarkov, type RandomStreams, type SampleInterval } from '../../base/random.js';
import type { RangeTerms } from '../epoch.js';
import type { Satellite } from '../sky/orbit.js';
import type { SatelliteView } from '../sky/sky.js';
import type { ArrivingSignal } from './arriving-signal.js';
import { AtmosphereErrors } from './atmosphere/atmosphere-errors.js';
import type { KlobucharCoefficients } from './atmosphere/klobuchar.js';
import { correlationS } from './correlation.js';
import {
  amplitudeOf,
  CARRIER_MULTIPATH_SHARE,
  DIFFERENTIAL_SHARE,
  MULTIPATH,
  rangeRateNoiseMps,
} from './error-sizes.js';
import type { ErrorSwitches } from './error-switches.js';
import { type ErrorPlace, SatelliteErrors } from './satellite-errors.js';
import { SignalErrors } from './signal-errors.js';
import type { SignalKind } from './signal-kind.js';

/** What the errors of every satellite of a system follow from. */
export interface ErrorWorld {
  readonly streams: RandomStreams;
  /** From the epoch before to the present one; changes with it. */
  readonly interval: SampleInterval;
  readonly switches: ErrorSwitches;
  readonly klobuchar: KlobucharCoefficients;
  /** What `interSystemOffsetsM` gives for the system, m. */
  readonly interSystemM: number;
}

/** How the receiver corrects. It has the model's coefficients from the beginning, in its firmware or from before. */
export interface CorrectionWay {
  /** By the corrections of an SBAS satellite, which shrink the satellite's and the ionosphere's error. */
  readonly differential: boolean;
  /** The second band takes the ionosphere out, as far as that pays. */
  readonly twoBands: boolean;
}

/** Errors of one satellite's corrected measurements at an epoch; filled in place. */
export interface MeasurementError {
  /** What the corrected pseudorange is too long by, the offset of the system included, m. */
  errorM: number;
  /** The receiver's own standard deviation for it, above 0, m: it knows elevation and C/N0, not what reflects. */
  sigmaM: number;
  rangeRateErrorMps: number;
  rangeRateSigmaMps: number;
}

/**
 * What changes slowly is computed so often, s, and gone over to linearly: the broadcast model, the line of sight, the
 * error processes of half an hour and more.
 */
const REFRESH_S = 5;
/** A refreshing that is nearer to an epoch than this share of the interval falls on it. */
const ON_EPOCH = 1e-6;
/** After a leap farther than this, rad (some 10 km), or of the time, what was before counts no more. */
const LEAP_RAD = 0.0015;
const LEAP_S = 0.001;

/** The errors of one satellite's ranges, of all its signals. Each effect has its own random stream. */
export class RangeErrors {
  readonly #interval: SampleInterval;
  /** The interval as it was at the last epoch, s. */
  #intervalS: number;
  /** From one refreshing to the next. */
  readonly #slowInterval: { lengthS: number };
  /** Epochs from one refreshing to the next; after a change of their interval not a whole number, until the next. */
  #stride: number;
  readonly #satellite: SatelliteErrors;
  readonly #atmosphere: AtmosphereErrors;
  readonly #signals: readonly SignalErrors[];
  readonly #interSystemM: number;
  #epoch = 0;
  /** Epochs until the next refreshing. */
  #left = 0;
  #towS = Number.NaN;
  #latitudeRad = Number.NaN;
  #longitudeRad = Number.NaN;
  /** What the last call of {@link corrected} took off its first signal for the ionosphere, m. */
  #ionosphereCorrectionM = 0;
  readonly #scratch: MeasurementError = { errorM: 0, sigmaM: 1, rangeRateErrorMps: 0, rangeRateSigmaMps: 1 };

  /** @param kinds every signal that the receiver could track of it, the satellite's first one first */
  constructor(satellite: Satellite, kinds: readonly SignalKind[], world: ErrorWorld) {
    const { streams, switches, interval, klobuchar } = world;
    const streamOf = (effect: string) => streams.stream(`${effect}/${satellite.id}`);
    this.#interval = interval;
    this.#intervalS = interval.lengthS;
    this.#stride = strideOf(interval);
    this.#slowInterval = { lengthS: interval.lengthS * this.#stride };
    const fast = (effect: string, correlationS: number) => new GaussMarkov(streamOf(effect), correlationS, interval);
    const slow = (effect: string, correlationS: number) =>
      new GaussMarkov(streamOf(effect), correlationS, this.#slowInterval);
    this.#satellite = new SatelliteErrors(satellite.system, slow, switches);
    this.#atmosphere = new AtmosphereErrors(klobuchar, slow, switches);
    this.#signals = kinds.map((kind) => new SignalErrors(kind, satellite.frequencyNumber, fast, streamOf, switches));
    this.#interSystemM = switches.interSystem ? world.interSystemM : 0;
  }

  /** One epoch further, at which the satellite is above the horizon. @param towS GPS time of week, s */
  step(view: SatelliteView, place: ErrorPlace, towS: number, speedMps: number): void {
    const share = this.#refresh(view, place, towS);
    this.#epoch++;
    this.#satellite.step(share);
    this.#atmosphere.step(view, place, share);
    const reflectionsS = correlationS(MULTIPATH, speedMps);
    for (const signal of this.#signals) signal.step(reflectionsS);
  }

  /**
   * Errors of the pseudorange that the receiver has corrected by broadcast clock and orbit, ionosphere and troposphere,
   * and of the range rate.
   * @param signals those of this satellite that are tracked, one or more, the satellite's first one first
   */
  corrected(signals: readonly ArrivingSignal[], way: CorrectionWay, out: MeasurementError): void {
    const first = signals[0] as ArrivingSignal;
    const second = signals[1];
    const one = this.#errorsOf(first.kind);
    const amplitude = amplitudeOf(first.cn0DbHz);
    const noiseSigmaM = one.noiseSigmaM(amplitude);
    const share = way.differential ? DIFFERENTIAL_SHARE : 1;
    const sigmaM = share * this.#atmosphere.ionosphereSigmaM * one.ionosphereScale;
    const leftM = this.#atmosphere.ionosphereLeftM * one.ionosphereScale;
    const ownVariance = one.multipathSigmaM * one.multipathSigmaM + noiseSigmaM * noiseSigmaM;
    let errorM = share * leftM + one.multipathM(first) + one.noiseM(noiseSigmaM);
    let variance = sigmaM * sigmaM + ownVariance;
    let correctionM = this.#atmosphere.ionosphereModelM * one.ionosphereScale + (1 - share) * leftM;
    if (way.twoBands && second !== undefined && sigmaM > 0) {
      const two = this.#errorsOf(second.kind);
      const secondNoiseM = two.noiseSigmaM(amplitudeOf(second.cn0DbHz));
      const secondVariance = two.multipathSigmaM * two.multipathSigmaM + secondNoiseM * secondNoiseM;
      const ratio = two.ionosphereScale / one.ionosphereScale;
      const secondM = ratio * share * leftM + two.multipathM(second) + two.noiseM(secondNoiseM);
      // Of all combinations the one of least variance: with a large ionosphere it is the ionosphere-free one.
      const pull = (ratio - 1) * sigmaM * sigmaM;
      const weight = (ownVariance - pull) / ((ratio - 1) * pull + ownVariance + secondVariance);
      const seen = (1 + weight * (ratio - 1)) * sigmaM;
      correctionM += weight * (errorM - secondM);
      errorM += weight * (secondM - errorM);
      variance = seen * seen + (1 - weight) * (1 - weight) * ownVariance + weight * weight * secondVariance;
    }
    const { clockM, orbitM, variance: satelliteVariance } = this.#satellite;
    const { troposphereLeftM, troposphereSigmaM } = this.#atmosphere;
    this.#ionosphereCorrectionM = correctionM;
    out.errorM = errorM + share * (clockM + orbitM) + troposphereLeftM + this.#interSystemM;
    variance += share * share * satelliteVariance + troposphereSigmaM * troposphereSigmaM;
    // With nothing that errs all ranges count alike.
    out.sigmaM = variance > 0 ? Math.sqrt(variance) : 1;
    const rateSigmaMps = rangeRateNoiseMps(amplitude);
    out.rangeRateErrorMps = one.rangeRateErrorMps(rateSigmaMps, this.#epoch);
    out.rangeRateSigmaMps = rateSigmaMps;
  }

  /** What a signal's code range is longer by than the straight way and the clocks make it, m. */
  pseudorangeErrorM(signal: ArrivingSignal): number {
    const errors = this.#errorsOf(signal.kind);
    const { ionosphereModelM, ionosphereLeftM } = this.#atmosphere;
    return (
      this.#commonM() +
      (ionosphereModelM + ionosphereLeftM) * errors.ionosphereScale +
      errors.multipathM(signal) +
      errors.noiseM(errors.noiseSigmaM(amplitudeOf(signal.cn0DbHz)))
    );
  }

  /** The same of its carrier: the ionosphere advances it. */
  carrierErrorM(signal: ArrivingSignal): number {
    const errors = this.#errorsOf(signal.kind);
    const { ionosphereModelM, ionosphereLeftM } = this.#atmosphere;
    return (
      this.#commonM() -
      (ionosphereModelM + ionosphereLeftM) * errors.ionosphereScale +
      errors.carrierMultipathM(signal, CARRIER_MULTIPATH_SHARE) +
      errors.carrierNoiseM(signal.cn0DbHz, this.#epoch)
    );
  }

  /** What the range rate of one signal is wrong by, m/s; positive: too fast away. */
  rangeRateErrorMps(signal: ArrivingSignal): number {
    const sigmaMps = rangeRateNoiseMps(amplitudeOf(signal.cn0DbHz));
    return this.#errorsOf(signal.kind).rangeRateErrorMps(sigmaMps, this.#epoch);
  }

  /**
   * What the range of the first of `signals` is made of; a way round counts as reflection. Delays less corrections make
   * the error of {@link corrected}: with two bands the ionosphere's correction has their noise in it.
   */
  terms(signals: readonly ArrivingSignal[], way: CorrectionWay): RangeTerms {
    this.corrected(signals, way, this.#scratch);
    const first = signals[0] as ArrivingSignal;
    const one = this.#errorsOf(first.kind);
    const { clockM, orbitM } = this.#satellite;
    const { ionosphereModelM, ionosphereLeftM, troposphereModelM, troposphereLeftM } = this.#atmosphere;
    return {
      satelliteClockM: clockM,
      orbitM,
      ionosphereM: (ionosphereModelM + ionosphereLeftM) * one.ionosphereScale,
      ionosphereCorrectionM: this.#ionosphereCorrectionM,
      troposphereM: troposphereModelM + troposphereLeftM,
      troposphereCorrectionM: troposphereModelM,
      interSystemM: this.#interSystemM,
      multipathM: one.multipathM(first),
      noiseM: one.noiseM(one.noiseSigmaM(amplitudeOf(first.cn0DbHz))),
      differentialCorrectionM: way.differential ? (1 - DIFFERENTIAL_SHARE) * (clockM + orbitM) : 0,
    };
  }

  /** Brings what is slow up to date where that is due; gives the share of the way to the next time, [0, 1]. */
  #refresh(view: SatelliteView, place: ErrorPlace, towS: number): number {
    if (this.#interval.lengthS !== this.#intervalS) this.#changeInterval();
    const leapS = Math.abs(towS - this.#towS - this.#intervalS);
    this.#towS = towS;
    const isContinued =
      (leapS < LEAP_S || Math.abs(leapS - SECONDS_PER_WEEK) < LEAP_S) &&
      Math.abs(place.latitudeRad - this.#latitudeRad) < LEAP_RAD &&
      Math.abs(place.longitudeRad - this.#longitudeRad) < LEAP_RAD;
    this.#left--;
    if (!isContinued || this.#left <= 0) {
      this.#stride = strideOf(this.#interval);
      this.#left = this.#stride;
      this.#slowInterval.lengthS = this.#intervalS * this.#stride;
      this.#latitudeRad = place.latitudeRad;
      this.#longitudeRad = place.longitudeRad;
      this.#satellite.refresh(view, place, !isContinued);
      this.#atmosphere.refresh(view, place, towS, !isContinued);
      for (const signal of this.#signals) signal.refresh(view.elevationDeg);
    }
    return this.#stride === 1 ? 1 : (this.#stride - this.#left) / this.#stride;
  }

  /** Goes the rest of the way to the next refreshing in the new interval's steps, from the share that is done. */
  #changeInterval(): void {
    const leftS = this.#left * this.#intervalS;
    const done = (this.#stride - this.#left) / this.#stride;
    this.#intervalS = this.#interval.lengthS;
    if (this.#stride === 1) return;
    this.#left = Math.max(1, Math.ceil(leftS / this.#intervalS - ON_EPOCH));
    this.#stride = this.#left / (1 - done);
  }

  #commonM(): number {
    const { clockM, orbitM } = this.#satellite;
    const { troposphereModelM, troposphereLeftM } = this.#atmosphere;
    return clockM + orbitM + troposphereModelM + troposphereLeftM + this.#interSystemM;
  }

  #errorsOf(kind: SignalKind): SignalErrors {
    for (const errors of this.#signals) if (errors.kind === kind) return errors;
    throw new Error(`no errors of signal ${kind.name} of ${kind.system}: the receiver was not made for it`);
  }
}

/** Epochs from one refreshing to the next. */
function strideOf({ lengthS }: SampleInterval): number {
  return Math.max(1, Math.round(REFRESH_S / lengthS));
}
