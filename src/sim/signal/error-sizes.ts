import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { SystemName } from '../sky/system.js';
import type { Decorrelation } from './correlation.js';

/** How well a system's broadcast message knows its satellites: standard deviations, m. */
export interface SatelliteSizes {
  readonly clockM: number;
  readonly radialM: number;
  readonly alongM: number;
  readonly crossM: number;
}

/**
 * Orbit errors across and in the radial direction as shares of those along the track. Source: O. Montenbruck,
 * P. Steigenberger, A. Hauschild, Broadcast versus precise ephemerides: a multi-GNSS perspective, GPS Solutions 19
 * (2015); rounded, from memory.
 */
const RADIAL_SHARE = 0.2;
const CROSS_SHARE = 0.5;
/** Median length of a vector of independent normals with deviations 0.2, 1 and 0.5 (integrated numerically). */
const MEDIAN_OF_SHARES = 0.8941;

function sizes(clockM: number, orbitMedianM: number): SatelliteSizes {
  const alongM = orbitMedianM / MEDIAN_OF_SHARES;
  return { clockM, radialM: RADIAL_SHARE * alongM, alongM, crossM: CROSS_SHARE * alongM };
}

/**
 * Clock error and 3D median of the orbit error by system. The medians of GPS, Galileo and GLONASS are broadcast minus
 * precise orbits of 2020-06-25 (nav-solutions/data); the others, and all clocks, are common practice.
 */
export const SATELLITE_SIZES: Readonly<Record<SystemName, SatelliteSizes>> = {
  gps: sizes(0.5, 1.31),
  glonass: sizes(1.5, 2.78),
  galileo: sizes(0.25, 0.9),
  beidou: sizes(0.6, 2),
  qzss: sizes(0.6, 2),
  navic: sizes(1.2, 3),
  sbas: sizes(1, 3),
};

/**
 * Deviation of the true delay in the ionosphere from the model, as a share of the model's: what the correction leaves
 * is 41 % of the delay in the root mean square (0.45 / sqrt(1 + 0.45^2)); IS-GPS-200N, 20.3.3.5.2.5, promises at most
 * 50 %.
 */
export const IONOSPHERE_SHARE = 0.45;

/** What corrections of SBAS leave of the satellite's and the ionosphere's error: common practice. */
export const DIFFERENTIAL_SHARE = 0.25;

/** Troposphere straight up: deviation from the model, m (RTCA DO-229, A.4.2.5). */
export const TROPOSPHERE_ZENITH_M = 0.12;

/** Correlation times, s: common practice (orbit and clock updates, weather). */
export const SATELLITE_S = 7200;
export const IONOSPHERE_S = 1800;
export const TROPOSPHERE_S = 1800;

/** Of reflections (common practice). */
export const MULTIPATH: Decorrelation = { restS: 60, wayM: 5 };

/** A ranging code of shorter chips than this, m, shuts out half of the reflections' error (common practice). */
const SHORT_CHIP_M = 50;
const SHORT_CHIP_SHARE = 0.5;

/** Standard deviation of the code's multipath error in a clean place, m (RTCA DO-229, appendix J). */
export function multipathSizeM(elevationDeg: number, chipM: number): number {
  return (0.13 + 0.53 * Math.exp(-elevationDeg / 10)) * (chipM < SHORT_CHIP_M ? SHORT_CHIP_SHARE : 1);
}

/** What of the code's multipath error the carrier has: a few centimetres at most (common practice). */
export const CARRIER_MULTIPATH_SHARE = 0.01;

/** Code loop: single-sided noise bandwidth after carrier aiding, Hz; correlator spacing, chips. */
const CODE_BANDWIDTH_HZ = 0.1;
const CORRELATOR_CHIPS = 0.5;
/** Carrier loop: single-sided noise bandwidth, Hz. */
const CARRIER_BANDWIDTH_HZ = 15;
/** Integration of both, s. */
const INTEGRATION_S = 0.02;

/** Correlation time of the code loop's noise, s: a first-order loop of noise bandwidth B forgets in 1 / (4 B). */
export const CODE_NOISE_S = 1 / (4 * CODE_BANDWIDTH_HZ);

/** No receiver tracks below it, dB-Hz: what is asked for less counts as there. */
const LEAST_CN0_DBHZ = 0;
/** Natural logarithm of an amplitude ratio of 1 dB. */
const AMPLITUDE_PER_DB = Math.LN10 / 20;

/** Amplitude of a carrier against that of the noise in 1 Hz. */
export function amplitudeOf(cn0DbHz: number): number {
  return Math.exp(Math.max(cn0DbHz, LEAST_CN0_DBHZ) * AMPLITUDE_PER_DB);
}

/**
 * Standard deviation of the code loop's thermal noise, m.
 * @param amplitude of {@link amplitudeOf}
 * @param chipM length of a chip
 * Source: E. D. Kaplan, C. J. Hegarty (ed.), Understanding GPS, chapter on receivers, non-coherent early minus late
 * discriminator (from memory).
 */
export function codeNoiseM(amplitude: number, chipM: number): number {
  const cn0 = amplitude * amplitude;
  const loop = (CODE_BANDWIDTH_HZ * CORRELATOR_CHIPS) / (2 * cn0);
  return chipM * Math.sqrt(loop * (1 + 2 / (INTEGRATION_S * cn0 * (2 - CORRELATOR_CHIPS))));
}

/** Standard deviation of the carrier loop's thermal noise, m. Source: as {@link codeNoiseM}, Costas loop. */
export function carrierNoiseM(amplitude: number, carrierHz: number): number {
  const cn0 = amplitude * amplitude;
  const wavelengthM = SPEED_OF_LIGHT_MPS / carrierHz;
  return (wavelengthM / (2 * Math.PI)) * Math.sqrt((CARRIER_BANDWIDTH_HZ / cn0) * (1 + 1 / (2 * INTEGRATION_S * cn0)));
}

/** Standard deviation of a range rate from Doppler at 45 dB-Hz, m/s; it falls with the amplitude (common practice). */
const RANGE_RATE_NOISE_MPS = 0.05;
const STRONG_AMPLITUDE = 10 ** (45 / 20);

/** Standard deviation of a range rate, m/s. @param amplitude of {@link amplitudeOf} */
export function rangeRateNoiseMps(amplitude: number): number {
  return RANGE_RATE_NOISE_MPS * (STRONG_AMPLITUDE / amplitude);
}
