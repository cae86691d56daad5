import { GPS_L1_HZ } from '../../base/constants.js';
import { type GaussMarkov, type Stream, WhiteNoise } from '../../base/random.js';
import type { ArrivingSignal } from './arriving-signal.js';
import { amplitudeOf, CODE_NOISE_S, carrierNoiseM, codeNoiseM, MULTIPATH, multipathSizeM } from './error-sizes.js';
import type { ErrorSwitches } from './error-switches.js';
import type { ProcessOf } from './satellite-errors.js';
import { carrierHz, type SignalKind } from './signal-kind.js';

/** What one signal has of its own: reflections and the receiver's noise. */
export class SignalErrors {
  /** Delay of this signal in the ionosphere over that of GPS L1. */
  readonly ionosphereScale: number;
  /** Standard deviation of the code's multipath in a clean place, m. */
  multipathSigmaM = 0;
  readonly #carrierHz: number;
  readonly #multipath: GaussMarkov | null;
  readonly #noise: GaussMarkov | null;
  readonly #carrierNoise: WhiteNoise | null;
  readonly #dopplerNoise: WhiteNoise | null;

  /** @param streamOf a stream of this satellite by its effect's name */
  constructor(
    readonly kind: SignalKind,
    frequencyNumber: number,
    processOf: ProcessOf,
    streamOf: (effect: string) => Stream,
    switches: ErrorSwitches,
  ) {
    this.#carrierHz = carrierHz(kind, frequencyNumber);
    this.ionosphereScale = (GPS_L1_HZ / this.#carrierHz) ** 2;
    this.#multipath = switches.multipath ? processOf(`multipath-${kind.band}`, MULTIPATH.restS) : null;
    this.#noise = switches.noise ? processOf(`code-noise-${kind.band}`, CODE_NOISE_S) : null;
    const white = (effect: string) => (switches.noise ? new WhiteNoise(streamOf(`${effect}-${kind.band}`)) : null);
    this.#carrierNoise = white('carrier-noise');
    this.#dopplerNoise = white('doppler-noise');
  }

  /** Sizes for an elevation, which turns slowly. */
  refresh(elevationDeg: number): void {
    if (this.#multipath !== null) this.multipathSigmaM = multipathSizeM(elevationDeg, this.kind.chipM);
  }

  /** One epoch further. @param correlationS of reflections, s */
  step(correlationS: number): void {
    this.#multipath?.step(correlationS);
    this.#noise?.step();
  }

  /** By how much reflections lengthen the code's range, m. */
  multipathM({ multipathScale, detourM }: ArrivingSignal): number {
    return this.#swingM(multipathScale) + detourM;
  }

  /** As {@link multipathM}, of the carrier: `share` of the code's swing, and all of the way round. */
  carrierMultipathM({ multipathScale, detourM }: ArrivingSignal, share: number): number {
    return share * this.#swingM(multipathScale) + detourM;
  }

  /** Standard deviation of the code loop's noise, m; 0 without noise. */
  noiseSigmaM(amplitude: number): number {
    return this.#noise === null ? 0 : codeNoiseM(amplitude, this.kind.chipM);
  }

  /** The code loop's noise, m, at a standard deviation of {@link noiseSigmaM}. */
  noiseM(sigmaM: number): number {
    return this.#noise === null ? 0 : sigmaM * this.#noise.unit;
  }

  /** The carrier loop's noise, m. @param epoch counts the steps */
  carrierNoiseM(cn0DbHz: number, epoch: number): number {
    if (this.#carrierNoise === null) return 0;
    return carrierNoiseM(amplitudeOf(cn0DbHz), this.#carrierHz) * this.#carrierNoise.normal(epoch);
  }

  /** What a range rate of standard deviation `sigmaMps` is wrong by. @param epoch counts the steps */
  rangeRateErrorMps(sigmaMps: number, epoch: number): number {
    return this.#dopplerNoise === null ? 0 : sigmaMps * this.#dopplerNoise.normal(epoch);
  }

  #swingM(scale: number): number {
    return this.#multipath === null ? 0 : this.multipathSigmaM * scale * this.#multipath.unit;
  }
}
