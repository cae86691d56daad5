import {
  DEG_PER_RAD,
  EARTH_MEAN_RADIUS_M,
  GEOSTATIONARY_M,
  GPS_L1_HZ,
  GPS_SEMI_MAJOR_M,
  SPEED_OF_LIGHT_MPS,
} from '../../base/constants.js';
import type { OrbitClass } from '../sky/orbit.js';
import type { AntennaKind } from './antenna.js';
import { aboveGpsDb } from './minimum-power.js';
import type { SignalKind } from './signal-kind.js';

/**
 * GPS L1 C/A link budget: transmitter 16.5 dBW; satellite antenna gain 13.8, 15.1 and 11.8 dBi where the satellite
 * stands at 5, 50 and 90 deg elevation; 4 dB of atmospheric and polarisation loss.
 * Source: the published budget of the GPS L1 signal (received -158.1, -155.4, -158.2 dBW at ranges of 25150, 21410 and
 * 20180 km into 0 dBi).
 */
const TRANSMIT_DBW = 16.5;
const LOSS_DB = 4;
const SATELLITE_GAIN: ReadonlyArray<readonly [offBoresightDeg: number, gainDbi: number]> = [
  [0, 11.8],
  [offBoresightOf(50), 15.1],
  [offBoresightOf(5), 13.8],
];

/** Noise density, dBW/Hz: Boltzmann's constant times a system temperature of 316 K. */
const NOISE_DENSITY_DBWPHZ = 10 * Math.log10(1.380649e-23 * 316);

const WAVELENGTH_M = SPEED_OF_LIGHT_MPS / GPS_L1_HZ;

/** Coefficients of a polynomial of the sine of the elevation, dB, the constant first. */
type Polynomial = readonly [number, number, number];

/** Systems whose first signal was measured by elevation. */
type Measured = 'gps' | 'glonass' | 'galileo' | 'beidou';

/**
 * C/N0 of each system's first signal over what GPS L1 would give through a 0 dBi antenna. Calibrated: least squares on
 * every second elevation bin above 5 deg (5 to 10, 15 to 20, …) of measured C/N0. The bins between check it.
 *
 * `good`: medians of a geodetic receiver with a choke-ring antenna (RINEX of 2020-06-25, nav-solutions/data). GLONASS
 * scatters there by 3 to 5 dB from satellite to satellite. `patch`: 95th percentiles of a small consumer receiver, its
 * nominal level, of the systems that it measured; the others stand to its GPS as they do with the good antenna.
 */
const GOOD: Readonly<Record<Measured, Polynomial>> = {
  gps: [-11.582, 16.232, -0.446],
  glonass: [-11.424, 19.169, -5.98],
  galileo: [-12.792, 16.121, -0.245],
  beidou: [-10.577, 17.081, -0.873],
};
const PATCH_GPS: Polynomial = [-9.349, 20.023, -9.523];
const PATCH_GALILEO: Polynomial = [-7.063, 2.573, 4.883];

/**
 * At 10 to 15 deg the measured median of BeiDou stands below those of both neighbouring bins, 3.2 dB under the curve
 * through them: half of what was measured there is one weak geostationary satellite (medium orbits alone: 39.5
 * dB-Hz). The curve follows the table so far as is needed to be within 1.5 dB of it whichever satellites are up: one
 * bin more that was calibrated on, and does not check.
 */
const BEIDOU_DIP_DB = 2.4;
const BEIDOU_DIP_AT = Math.sin(12.4 / DEG_PER_RAD);
const BEIDOU_DIP_WIDTH = 0.045;

/** A poor antenna's loss against a patch, overhead and at the horizon, where its pattern is worse (common practice). */
const POOR_ZENITH_DB = 8;
const POOR_HORIZON_DB = 12;

/** Angle between the satellite's nadir and the receiver, deg, for a GPS satellite at an elevation. */
function offBoresightOf(elevationDeg: number): number {
  return Math.asin((EARTH_MEAN_RADIUS_M * Math.cos(elevationDeg / DEG_PER_RAD)) / GPS_SEMI_MAJOR_M) * DEG_PER_RAD;
}

/** Quadratic through the three published gains, in the angle off boresight. */
function satelliteGainDbi(offBoresightDeg: number): number {
  let sum = 0;
  for (const [i, [angle, gain]] of SATELLITE_GAIN.entries()) {
    let term = gain;
    for (const [j, [other]] of SATELLITE_GAIN.entries())
      if (i !== j) term *= (offBoresightDeg - other) / (angle - other);
    sum += term;
  }
  return sum;
}

/** Power of GPS L1 C/A that a 0 dBi antenna receives, dBW. */
export function gpsPowerDbw(sinElevation: number, rangeM: number): number {
  const cosElevation = Math.sqrt(1 - sinElevation * sinElevation);
  const offBoresightDeg = Math.asin((EARTH_MEAN_RADIUS_M * cosElevation) / GPS_SEMI_MAJOR_M) * DEG_PER_RAD;
  const spreadingDb = 20 * Math.log10((4 * Math.PI * rangeM) / WAVELENGTH_M);
  return TRANSMIT_DBW + satelliteGainDbi(offBoresightDeg) - spreadingDb - LOSS_DB;
}

/** Distance of a satellite on a circular orbit, m. */
function nominalRangeM(radiusM: number, sinElevation: number): number {
  const cos2 = 1 - sinElevation * sinElevation;
  return -EARTH_MEAN_RADIUS_M * sinElevation + Math.sqrt(radiusM ** 2 - EARTH_MEAN_RADIUS_M ** 2 * cos2);
}

/** The elevation at which interface documents give the least received power. */
const SPECIFIED_AT = Math.sin(5 / DEG_PER_RAD);

/**
 * By how much more a signal's power varies with its satellite's distance than that of GPS does, dB; 0 at 5 deg. High
 * orbits come relatively less near when they are overhead.
 */
function classSpreadingDb(orbitClass: OrbitClass, sinElevation: number): number {
  if (orbitClass === 'meo') return 0;
  const ratio = (radiusM: number) => nominalRangeM(radiusM, sinElevation) / nominalRangeM(radiusM, SPECIFIED_AT);
  return 20 * Math.log10(ratio(GPS_SEMI_MAJOR_M) / ratio(GEOSTATIONARY_M));
}

/**
 * Power of any signal that a 0 dBi antenna receives, dBW: the shape of GPS L1, at the level that the interface
 * documents promise relative to it.
 */
export function receivedPowerDbw(kind: SignalKind, orbitClass: OrbitClass, sinElevation: number): number {
  return (
    gpsPowerDbw(sinElevation, nominalRangeM(GPS_SEMI_MAJOR_M, sinElevation)) +
    aboveGpsDb(kind, orbitClass) +
    classSpreadingDb(orbitClass, sinElevation)
  );
}

/**
 * Standard deviation of C/N0 about its median, dB: 1.9 at 5 deg, 0.7 high up, 2.6 at the horizon.
 * Fitted by eye to the spread of measured GPS L1 C/N0 by elevation (geodetic receiver).
 */
function fadingDb(sinElevation: number): number {
  return 0.7 + 1.9 * Math.exp(-sinElevation / 0.19);
}

function polynomialDb([c0, c1, c2]: Polynomial, s: number): number {
  return c0 + s * (c1 + s * c2);
}

function isMeasured(kind: SignalKind): kind is SignalKind & { readonly system: Measured } {
  return kind.band === 'L1' && kind.system in GOOD;
}

/** C/N0 of a system's first signal from a medium orbit over GPS L1 through 0 dBi, dB. */
function measuredGainDb(system: Measured, antenna: 'good' | 'patch', s: number): number {
  if (antenna === 'patch' && system === 'galileo') return polynomialDb(PATCH_GALILEO, s);
  const dip = system === 'beidou' ? BEIDOU_DIP_DB * Math.exp(-(((s - BEIDOU_DIP_AT) / BEIDOU_DIP_WIDTH) ** 2)) : 0;
  const good = polynomialDb(GOOD[system], s) - dip;
  return antenna === 'good' ? good : good + polynomialDb(PATCH_GPS, s) - polynomialDb(GOOD.gps, s);
}

/** Median C/N0 in open sky, dB-Hz. */
function medianDbHz(kind: SignalKind, orbitClass: OrbitClass, antenna: AntennaKind, s: number): number {
  const pattern = antenna === 'good' ? 'good' : 'patch';
  const poorDb = antenna === 'poor' ? POOR_HORIZON_DB + (POOR_ZENITH_DB - POOR_HORIZON_DB) * s : 0;
  // What was measured has the power of the signal in it already, from a medium orbit.
  const gainDb = isMeasured(kind)
    ? measuredGainDb(kind.system, pattern, s) - aboveGpsDb(kind, 'meo')
    : measuredGainDb('gps', pattern, s);
  return receivedPowerDbw(kind, orbitClass, s) - NOISE_DENSITY_DBWPHZ + gainDb - poorDb;
}

/** Steps of the tabulated budget over the sine of the elevation. */
const STEPS = 1024;

/**
 * Carrier to noise density ratio of one kind of signal in open sky, from a satellite of one class of orbit.
 * The range enters at its nominal value for the elevation; the real one's departure is under 0.2 dB for eccentricities
 * to 0.02. Tabulated, since it is asked for every satellite at every epoch.
 */
export class LinkBudget {
  readonly #cn0 = new Float64Array(STEPS + 2);
  readonly #fading = FADING;

  constructor(kind: SignalKind, orbitClass: OrbitClass, antenna: AntennaKind) {
    for (let step = 0; step <= STEPS + 1; step++) {
      this.#cn0[step] = medianDbHz(kind, orbitClass, antenna, Math.min(1, step / STEPS));
    }
  }

  /**
   * dB-Hz at an elevation above the horizon (sine in [0, 1]).
   * @param fade how many standard deviations above the median
   */
  cn0DbHz(sinElevation: number, fade: number): number {
    const at = sinElevation * STEPS;
    const step = Math.floor(at);
    const part = at - step;
    const low = (this.#cn0[step] as number) + fade * (this.#fading[step] as number);
    const high = (this.#cn0[step + 1] as number) + fade * (this.#fading[step + 1] as number);
    return low + part * (high - low);
  }
}

const FADING = Float64Array.from({ length: STEPS + 2 }, (_, step) => fadingDb(Math.min(1, step / STEPS)));
