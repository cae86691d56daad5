/** Relative humidity that is assumed where none is measured, [0, 1]: common practice. */
const STANDARD_HUMIDITY = 0.7;

/** Heights for which the standard atmosphere is carried on, m: below and above it counts as there. */
const LOWEST_M = -1000;
const HIGHEST_M = 44_000;
/** Temperature of the tropopause, K: above it the air is no colder (ICAO standard atmosphere). */
const TROPOPAUSE_K = 216.65;

/**
 * Delay straight up through the troposphere of the standard atmosphere, m; along the line of sight 1 / sin(elevation)
 * times it, which is too much below 3 deg.
 * @param latitudeRad geodetic, rad
 * @param heightM above the sea, m
 * @param humidity relative, [0, 1]
 * Source: J. Saastamoinen, Contributions to the theory of atmospheric refraction, Bulletin Géodésique 107 (1973), with
 * the gravity term of J. L. Davis et al. (1985); temperature lapse and pressure of the ICAO standard atmosphere.
 */
export function saastamoinenZenithM(latitudeRad: number, heightM: number, humidity = STANDARD_HUMIDITY): number {
  const height = Math.max(LOWEST_M, Math.min(HIGHEST_M, heightM));
  const pressureHpa = 1013.25 * (1 - 2.2557e-5 * height) ** 5.2568;
  const temperatureK = Math.max(TROPOPAUSE_K, 15 - 6.5e-3 * height + 273.16);
  const vapourHpa = 6.108 * humidity * Math.exp((17.15 * temperatureK - 4684) / (temperatureK - 38.45));
  const dryM = (0.0022768 * pressureHpa) / (1 - 0.00266 * Math.cos(2 * latitudeRad) - (0.00028 * height) / 1000);
  const wetM = 0.002277 * (1255 / temperatureK + 0.05) * vapourHpa;
  return dryM + wetM;
}
