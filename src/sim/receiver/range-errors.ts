import { DEG_PER_RAD, GPS_CA_CHIP_M } from '../../base/constants.js';
import { GaussMarkov, type RandomStreams, type Stream } from '../../base/random.js';
import type { SatelliteView } from '../sky/sky.js';

/**
 * Standard deviation of the satellite's clock and orbit error along the line of sight, m: the 3D median of GPS
 * broadcast minus precise orbits, 1.31 m, over the median 1.538 of a three-dimensional unit normal.
 */
const SATELLITE_M = 1.31 / 1.538;
/** At the zenith, m: half of a typical delay of 3 m, which is what the broadcast model leaves (from memory). */
const IONOSPHERE_ZENITH_M = 1.5;

/** Correlation times, s: common practice (orbit and clock updates, weather, reflections as the geometry turns). */
const SATELLITE_S = 7200;
const IONOSPHERE_S = 1800;
const TROPOSPHERE_S = 1800;
const MULTIPATH_S = 60;

/** Code loop: single-sided noise bandwidth after carrier aiding, Hz; correlator spacing, chips; integration, s. */
const LOOP_BANDWIDTH_HZ = 0.1;
const CORRELATOR_CHIPS = 0.5;
const INTEGRATION_S = 0.02;

/**
 * Standard deviation of the code loop's thermal noise, m, at a C/N0 given as a ratio, Hz.
 * Source: E. D. Kaplan, C. J. Hegarty (ed.), Understanding GPS, chapter on receivers, non-coherent early minus late
 * discriminator (from memory).
 */
export function codeNoiseM(cn0: number): number {
  const loop = (LOOP_BANDWIDTH_HZ * CORRELATOR_CHIPS) / (2 * cn0);
  return GPS_CA_CHIP_M * Math.sqrt(loop * (1 + 2 / (INTEGRATION_S * cn0 * (2 - CORRELATOR_CHIPS))));
}

/** Standard deviation of a range rate from Doppler at 45 dB-Hz, m/s; it falls with the amplitude (common practice). */
const RANGE_RATE_NOISE_MPS = 0.05;
const STRONG_AMPLITUDE = 10 ** (45 / 20);
/** Natural logarithm of an amplitude ratio of 1 dB. */
const AMPLITUDE_PER_DB = Math.LN10 / 20;

/** Errors of one satellite's measurements at an epoch. */
export interface MeasurementError {
  /** What the pseudorange is wrong by, m. */
  errorM: number;
  /** Standard deviation of {@link errorM}, m: also the receiver's own weight. */
  sigmaM: number;
  rangeRateErrorMps: number;
}

/** Standard deviations that depend on the elevation alone, m. */
interface ElevationTerms {
  readonly ionosphereM: number;
  readonly troposphereM: number;
  readonly multipathM: number;
}

/** Steps of the sine of the elevation in which they are tabulated: fine enough that no step is seen in a position. */
const STEPS = 4096;

/**
 * Sizes by elevation. Source: RTCA DO-229, appendix J (troposphere, multipath); IS-GPS-200N, 20.3.3.5.2.5 (obliquity of
 * the ionosphere).
 */
const BY_ELEVATION: readonly ElevationTerms[] = Array.from({ length: STEPS + 1 }, (_, step) => {
  const sinElevation = step / STEPS;
  const elevationDeg = Math.asin(sinElevation) * DEG_PER_RAD;
  return {
    ionosphereM: IONOSPHERE_ZENITH_M * (1 + 16 * (0.53 - elevationDeg / 180) ** 3),
    troposphereM: (0.12 * 1.001) / Math.sqrt(0.002001 + sinElevation * sinElevation),
    multipathM: 0.13 + 0.53 * Math.exp(-elevationDeg / 10),
  };
});

/** The error processes of one satellite, each with its own random stream. */
export class RangeErrors {
  readonly #satellite: GaussMarkov;
  readonly #ionosphere: GaussMarkov;
  readonly #troposphere: GaussMarkov;
  readonly #multipath: GaussMarkov;
  readonly #noise: GaussMarkov;
  readonly #doppler: Stream;
  #dopplerUnit = 0;
  readonly #out: MeasurementError = { errorM: 0, sigmaM: 1, rangeRateErrorMps: 0 };

  constructor(id: string, streams: RandomStreams, intervalS: number) {
    const process = (effect: string, correlationS: number) =>
      new GaussMarkov(streams.stream(`${effect}/${id}`), correlationS, intervalS);
    this.#satellite = process('satellite', SATELLITE_S);
    this.#ionosphere = process('ionosphere', IONOSPHERE_S);
    this.#troposphere = process('troposphere', TROPOSPHERE_S);
    this.#multipath = process('multipath', MULTIPATH_S);
    // A first-order loop of noise bandwidth B forgets in 1/(4 B).
    this.#noise = process('code-noise', 1 / (4 * LOOP_BANDWIDTH_HZ));
    this.#doppler = streams.stream(`doppler-noise/${id}`);
  }

  /** One epoch further. */
  step(): void {
    this.#satellite.step();
    this.#ionosphere.step();
    this.#troposphere.step();
    this.#multipath.step();
    this.#noise.step();
    this.#dopplerUnit = this.#doppler.normal();
  }

  /** The errors at a satellite's elevation and C/N0; the result is filled anew at the next call. */
  at({ sinElevation }: SatelliteView, cn0DbHz: number): MeasurementError {
    const { ionosphereM, troposphereM, multipathM } = BY_ELEVATION[Math.round(sinElevation * STEPS)] as ElevationTerms;
    const amplitude = Math.exp(cn0DbHz * AMPLITUDE_PER_DB);
    const noiseM = codeNoiseM(amplitude * amplitude);
    this.#out.errorM =
      SATELLITE_M * this.#satellite.unit +
      ionosphereM * this.#ionosphere.unit +
      troposphereM * this.#troposphere.unit +
      multipathM * this.#multipath.unit +
      noiseM * this.#noise.unit;
    this.#out.sigmaM = Math.sqrt(
      SATELLITE_M * SATELLITE_M +
        ionosphereM * ionosphereM +
        troposphereM * troposphereM +
        multipathM * multipathM +
        noiseM * noiseM,
    );
    this.#out.rangeRateErrorMps = RANGE_RATE_NOISE_MPS * (STRONG_AMPLITUDE / amplitude) * this.#dopplerUnit;
    return this.#out;
  }
}
