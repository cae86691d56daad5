import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { turnedAboutZ, type Vector } from './table-20-iv.js';

const DEG = Math.PI / 180;
const EARTH_RATE_RADPS = 7.2921151467e-5;

export interface Geometry {
  readonly nodeDeg: number;
  readonly latitudeArgumentDeg: number;
  readonly inclinationDeg: number;
  readonly radiusM: number;
  readonly speedMps: number;
}

/**
 * Orbital plane and place in it, from Earth-fixed position and velocity and the Greenwich hour angle.
 * @param nodeRateRadps of a plane that precesses without being tilted by it, as user algorithms have it: in the
 * inertial frame its motion would tilt the velocity out of the plane
 */
export function geometryOf(satellite: Satellite, tS: number, greenwichDeg: number, nodeRateRadps = 0): Geometry {
  const s: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  satellite.orbit.stateAt(tS, s);
  const turn = greenwichDeg * DEG;
  const position: Vector = [s.xM, s.yM, s.zM];
  const rate = EARTH_RATE_RADPS - nodeRateRadps;
  const inertial: Vector = [s.vxMps - rate * s.yM, s.vyMps + rate * s.xM, s.vzMps];
  const [x, y, z] = turnedAboutZ(position, turn);
  const [vx, vy, vz] = turnedAboutZ(inertial, turn);
  const normal: Vector = [y * vz - z * vy, z * vx - x * vz, x * vy - y * vx];
  const cosInclination = normal[2] / Math.hypot(...normal);
  const node = Math.atan2(normal[0], -normal[1]);
  const alongNode = x * Math.cos(node) + y * Math.sin(node);
  const acrossNode = (y * Math.cos(node) - x * Math.sin(node)) / cosInclination;
  return {
    nodeDeg: wrapped(node / DEG),
    latitudeArgumentDeg: wrapped(Math.atan2(acrossNode, alongNode) / DEG),
    inclinationDeg: Math.acos(cosInclination) / DEG,
    radiusM: Math.hypot(x, y, z),
    speedMps: Math.hypot(vx, vy, vz),
  };
}

export function wrapped(angleDeg: number): number {
  return ((angleDeg % 360) + 360) % 360;
}

/** Between two angles, [0, 180] deg. */
export function apartDeg(a: number, b: number): number {
  return Math.abs(wrapped(a - b + 180) - 180);
}
