import { EARTH_ROTATION_RADPS } from '../../../base/constants.js';
import type { Orbit, OrbitState } from '../orbit.js';

/** Time from one northward passage of the equator to the next, s (GLONASS ICD 5.1, 3.3.1: 11 h 15 min 44 s). */
export const DRACONIC_PERIOD_S = 40_544;

/**
 * The nearly circular periodic solution of the equations of motion that GLONASS receivers integrate (ICD 5.1, A.3.1.2,
 * without accelerations of Moon and Sun) for this period and a mean inclination of 64.8 deg: position in a frame that
 * turns with the node, x to the node and z to the north pole, as a Fourier series of the time since the node: x by
 * cosines, y and z by sines, of 1, 3 and 5 times the angle, m. All satellites run through it, each with its node and
 * time.
 * Found by Newton's method on orbits integrated with DOP853 (relative tolerance 2e-14); what the series leaves out is
 * below 1e-6 m.
 */
const X_M = [25_508_243.635445, 265.0415273, -0.0016829] as const;
const Y_M = [10_861_258.103648, 112.8667828, -0.0007166] as const;
const Z_M = [23_080_176.6050832, 239.8094812, -0.0015227] as const;
/** Rate of the node of this solution, inertial, rad/s. */
export const GLONASS_NODE_RATE_RADPS = -6.699849048e-9;

/** Radius of the nearly circular orbit, m. */
export const GLONASS_RADIUS_M = 25_508_155;

const RATE_RADPS = (2 * Math.PI) / DRACONIC_PERIOD_S;
const NODE_RATE_RADPS = GLONASS_NODE_RATE_RADPS - EARTH_ROTATION_RADPS;

/** A satellite of the reference constellation of GLONASS; at any time, without integration. */
export class GlonassOrbit implements Orbit {
  /**
   * @param nodeLongitudeRad east longitude of the ascending node at the scenario's start
   * @param latitudeArgumentRad angle since the node, of the time, at the start: 2 pi is a draconic period
   */
  constructor(
    private readonly nodeLongitudeRad: number,
    private readonly latitudeArgumentRad: number,
  ) {}

  stateAt(sinceStartS: number, out: OrbitState): void {
    const angle = this.latitudeArgumentRad + RATE_RADPS * (sinceStartS % DRACONIC_PERIOD_S);
    const c1 = Math.cos(angle);
    const s1 = Math.sin(angle);
    const cos2 = c1 * c1 - s1 * s1;
    const sin2 = 2 * c1 * s1;
    const c3 = c1 * cos2 - s1 * sin2;
    const s3 = s1 * cos2 + c1 * sin2;
    const c5 = c3 * cos2 - s3 * sin2;
    const s5 = s3 * cos2 + c3 * sin2;
    const x = X_M[0] * c1 + X_M[1] * c3 + X_M[2] * c5;
    const y = Y_M[0] * s1 + Y_M[1] * s3 + Y_M[2] * s5;
    const vx = -RATE_RADPS * (X_M[0] * s1 + 3 * X_M[1] * s3 + 5 * X_M[2] * s5);
    const vy = RATE_RADPS * (Y_M[0] * c1 + 3 * Y_M[1] * c3 + 5 * Y_M[2] * c5);
    const node = this.nodeLongitudeRad + NODE_RATE_RADPS * sinceStartS;
    const cos = Math.cos(node);
    const sin = Math.sin(node);
    out.xM = x * cos - y * sin;
    out.yM = x * sin + y * cos;
    out.zM = Z_M[0] * s1 + Z_M[1] * s3 + Z_M[2] * s5;
    out.vxMps = vx * cos - vy * sin - NODE_RATE_RADPS * out.yM;
    out.vyMps = vx * sin + vy * cos + NODE_RATE_RADPS * out.xM;
    out.vzMps = RATE_RADPS * (Z_M[0] * c1 + 3 * Z_M[1] * c3 + 5 * Z_M[2] * c5);
  }
}
