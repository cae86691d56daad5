import { RAD_PER_DEG, SECONDS_PER_DAY, WGS84_SEMI_MAJOR_M } from '../../../base/constants.js';
import { earthRotationOf, gmOf } from '../kepler-record.js';
import type { SystemName } from '../system.js';

/** Bits of a rate in turns a day that are multiplied by whole days exactly. */
const SPLIT = 2 ** 20;

/**
 * Angle that a rate turns through in a time, rad, without its whole turns: to 1e-14 rad over centuries, so that
 * scenarios which start at different times share one sky.
 */
export function turnedRad(rateRadps: number, seconds: number): number {
  const turnsPerDay = (rateRadps * SECONDS_PER_DAY) / (2 * Math.PI);
  const days = Math.floor(seconds / SECONDS_PER_DAY);
  const high = Math.round(turnsPerDay * SPLIT) / SPLIT;
  const turns = ((high * days) % 1) + (turnsPerDay - high) * days;
  return 2 * Math.PI * turns + rateRadps * (seconds - days * SECONDS_PER_DAY);
}

/** Second zonal harmonic of WGS-84, 1 (NGA.STND.0036, from the normalised C20 -4.84165e-4). */
const J2 = 1.08263e-3;

/** Rates of an orbit's angles, rad/s. */
export interface MeanRates {
  readonly nodeRateRadps: number;
  readonly meanMotionRadps: number;
}

/**
 * Rates of an orbit whose ground track repeats after so many revolutions, the node's turns of the Earth counted as
 * days.
 * The node moves by the Earth's flattening.
 * Source: W. M. Kaula, Theory of Satellite Geodesy (1966), 3.74, for the node of an orbit of small eccentricity.
 */
export function repeatingRates(
  system: SystemName,
  semiMajorM: number,
  inclinationDeg: number,
  [revolutions, days]: readonly [revolutions: number, days: number],
): MeanRates {
  const flattening = J2 * (WGS84_SEMI_MAJOR_M / semiMajorM) ** 2;
  const twoBodyRadps = Math.sqrt(gmOf(system) / semiMajorM ** 3);
  const nodeRateRadps = -1.5 * flattening * twoBodyRadps * Math.cos(inclinationDeg * RAD_PER_DEG);
  return { nodeRateRadps, meanMotionRadps: (revolutions / days) * (earthRotationOf(system) - nodeRateRadps) };
}
