import {
  DEG_PER_RAD,
  EARTH_MEAN_RADIUS_M,
  GPS_L1_HZ,
  GPS_SEMI_MAJOR_M,
  SPEED_OF_LIGHT_MPS,
} from '../../base/constants.js';
import type { AntennaKind } from '../receiver/settings.js';

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

/**
 * Gain of the receiving antenna with the receiver's implementation loss, dB: a polynomial of the sine of the
 * elevation. Calibrated: least squares on every second elevation bin above 5 deg of C/N0 measured on GPS L1, `good` on
 * the medians of a geodetic receiver with a choke-ring antenna, `patch` on the 95th percentiles of a small consumer
 * receiver (its nominal level). The bins between were held out and check it.
 */
const RECEIVE_GAIN_DB: Readonly<Record<AntennaKind, readonly [number, number, number]>> = {
  good: [-11.58, 16.232, -0.446],
  patch: [-9.347, 20.023, -9.523],
};

/** Angle between the satellite's nadir and the receiver, deg, for a satellite at an elevation. */
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

/** Received power of GPS L1 C/A into a 0 dBi antenna, dBW. */
export function receivedPowerDbw(sinElevation: number, rangeM: number): number {
  const cosElevation = Math.sqrt(1 - sinElevation * sinElevation);
  const offBoresightDeg = Math.asin((EARTH_MEAN_RADIUS_M * cosElevation) / GPS_SEMI_MAJOR_M) * DEG_PER_RAD;
  const spreadingDb = 20 * Math.log10((4 * Math.PI * rangeM) / WAVELENGTH_M);
  return TRANSMIT_DBW + satelliteGainDbi(offBoresightDeg) - spreadingDb - LOSS_DB;
}

/**
 * Standard deviation of C/N0 about its median, dB: 1.9 at 5 deg, 0.7 high up, 2.6 at the horizon.
 * Fitted by eye to the spread of measured GPS L1 C/N0 by elevation (geodetic receiver).
 */
export function fadingDb(sinElevation: number): number {
  return 0.7 + 1.9 * Math.exp(-sinElevation / 0.19);
}

/** Steps of the tabulated budget over the sine of the elevation. */
const STEPS = 1024;

/**
 * Carrier to noise density ratio of a satellite in open sky, without fading.
 * The range enters at its nominal value for the elevation; the real one's departure is under 0.2 dB for eccentricities
 * to 0.02. Tabulated, since it is asked for every satellite at every epoch.
 */
export class LinkBudget {
  readonly #cn0 = new Float64Array(STEPS + 2);
  readonly #fading = new Float64Array(STEPS + 2);

  constructor(antenna: AntennaKind) {
    const [g0, g1, g2] = RECEIVE_GAIN_DB[antenna];
    for (let step = 0; step <= STEPS + 1; step++) {
      const s = Math.min(1, step / STEPS);
      const cos2 = 1 - s * s;
      const rangeM = -EARTH_MEAN_RADIUS_M * s + Math.sqrt(GPS_SEMI_MAJOR_M ** 2 - EARTH_MEAN_RADIUS_M ** 2 * cos2);
      this.#fading[step] = fadingDb(s);
      this.#cn0[step] = receivedPowerDbw(s, rangeM) - NOISE_DENSITY_DBWPHZ + g0 + g1 * s + g2 * s * s;
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
