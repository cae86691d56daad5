import { SECONDS_PER_DAY, SPEED_OF_LIGHT_MPS } from '../../../base/constants.js';

/** Coefficients of the ionosphere model as GPS broadcasts them: alpha in s per power of semicircles, beta likewise. */
export interface KlobucharCoefficients {
  readonly alpha: readonly [number, number, number, number];
  readonly beta: readonly [number, number, number, number];
}

/**
 * Used where no file gives them: of a quiet year, on the steps of the message (scale factors of IS-GPS-200N, table
 * 20-X). The sizes are from memory.
 */
export const TYPICAL_KLOBUCHAR: KlobucharCoefficients = {
  alpha: [12 * 2 ** -30, 2 * 2 ** -27, -1 * 2 ** -24, -2 * 2 ** -24],
  beta: [48 * 2 ** 11, 5 * 2 ** 14, -3 * 2 ** 16, -6 * 2 ** 16],
};

/** Least delay, s; least period, s; local time of the greatest delay, s. */
const NIGHT_S = 5e-9;
const LEAST_PERIOD_S = 72_000;
const PEAK_S = 50_400;

/**
 * Delay of GPS L1 straight down through the ionosphere, where the line of sight pierces it, m; along the line of sight
 * it is {@link klobucharObliquity} times it, on another carrier (f1 / f)^2 times it.
 * @param latitudeRad of the antenna, as longitude and azimuth in rad; elevation in [0, pi/2] rad
 * @param towS GPS time of week, s
 * Source: IS-GPS-200N, 20.3.3.5.2.5.
 */
export function klobucharVerticalM(
  { alpha, beta }: KlobucharCoefficients,
  latitudeRad: number,
  longitudeRad: number,
  azimuthRad: number,
  elevationRad: number,
  towS: number,
): number {
  // In semicircles, as the source has them.
  const psi = 0.0137 / (elevationRad / Math.PI + 0.11) - 0.022;
  const pierced = latitudeRad / Math.PI + psi * Math.cos(azimuthRad);
  const phi = Math.max(-0.416, Math.min(0.416, pierced));
  const lambda = longitudeRad / Math.PI + (psi * Math.sin(azimuthRad)) / Math.cos(phi * Math.PI);
  const magnetic = phi + 0.064 * Math.cos((lambda - 1.617) * Math.PI);
  const time = 4.32e4 * lambda + towS;
  const localS = time - Math.floor(time / SECONDS_PER_DAY) * SECONDS_PER_DAY;
  const amplitudeS = Math.max(0, alpha[0] + magnetic * (alpha[1] + magnetic * (alpha[2] + magnetic * alpha[3])));
  const periodS = Math.max(LEAST_PERIOD_S, beta[0] + magnetic * (beta[1] + magnetic * (beta[2] + magnetic * beta[3])));
  const x = (2 * Math.PI * (localS - PEAK_S)) / periodS;
  if (Math.abs(x) >= 1.57) return SPEED_OF_LIGHT_MPS * NIGHT_S;
  return SPEED_OF_LIGHT_MPS * (NIGHT_S + amplitudeS * (1 + x * x * (-1 / 2 + (x * x) / 24)));
}

/** How much longer than the straight down one the way through the ionosphere is; elevation in rad. Source: as above. */
export function klobucharObliquity(elevationRad: number): number {
  const rest = 0.53 - elevationRad / Math.PI;
  return 1 + 16 * rest * rest * rest;
}
