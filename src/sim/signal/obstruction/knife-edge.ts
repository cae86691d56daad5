import { GPS_L1_HZ, RAD_PER_DEG, SPEED_OF_LIGHT_MPS } from '../../../base/constants.js';

/** How far away an edge is taken to be, m: light goes over into shadow within a degree (common practice). */
const EDGE_M = 1000;

/** Parameter of diffraction for each degree that a satellite stands under the edge; the satellite is infinitely far. */
const PER_DEG = RAD_PER_DEG * Math.sqrt((2 * EDGE_M * GPS_L1_HZ) / SPEED_OF_LIGHT_MPS);

/** Above it the loss is taken as none. */
const CLEAR = -0.78;

/**
 * Loss by an edge before the satellite, dB: 6 right at the edge, 0 from half a degree above it.
 * @param belowDeg how far the satellite stands under the edge, deg; negative: above it
 * Source: ITU-R P.526-15, 4.1, equation 26 (parameter) and 31 (single knife edge).
 */
export function knifeEdgeLossDb(belowDeg: number): number {
  const v = belowDeg * PER_DEG;
  if (v <= CLEAR) return 0;
  const u = v - 0.1;
  return Math.max(0, 6.9 + 20 * Math.log10(Math.sqrt(u * u + 1) + u));
}
