import { RAD_PER_DEG } from '../base/constants.js';
import type { SkySystem } from './system-of-satellite.js';

/**
 * By how much each system's first signal was measured above GPS L1 C/A, median over the elevation bins above 10 deg,
 * dB; a system that is not here was not measured. Source: C/N0 of a geodetic receiver with a choke-ring antenna, RINEX
 * observations of 2020-06-25 (nav-solutions/data); computed from its medians by elevation.
 */
const ABOVE_GPS_DB: Readonly<Partial<Record<SkySystem, number>>> = {
  gps: 0,
  glonass: -0.2,
  galileo: -1.3,
  beidou: 1.2,
  // The same signal at the same power (IS-QZSS-PNT, from memory).
  qzss: 0,
};

/**
 * C/N0 that a good antenna in the open gives, dB-Hz: for GPS L1 C/A 32.1 + 28.2 s - 9.0 s^2, s the sine of the
 * elevation. Source: fitted to C/N0 by elevation of a geodetic receiver with a choke-ring antenna (RINEX observations
 * of 2020-06-25, nav-solutions/data); spread 0.7 to 1.8 dB above 5 deg. A consumer receiver reads 1 to 3 dB less.
 */
export function expectedCn0DbHz(elevationDeg: number, system: SkySystem = 'gps'): number {
  const s = Math.sin(Math.max(0, elevationDeg) * RAD_PER_DEG);
  return 32.1 + 28.2 * s - 9 * s * s + (ABOVE_GPS_DB[system] ?? 0);
}

/** Whether there is something to hold a system's first signal against. */
export function isExpected(system: SkySystem): boolean {
  return system in ABOVE_GPS_DB;
}
