import { EARTH_ROTATION_RADPS } from '../../base/constants.js';
import type { Orbit, OrbitState } from './orbit.js';

/** Keplerian elements at a reference time, node given in the rotating frame. */
export interface KeplerElements {
  readonly semiMajorM: number;
  readonly eccentricity: number;
  readonly inclinationRad: number;
  /** East longitude of the ascending node in the Earth-fixed frame at the reference time, rad. */
  readonly nodeLongitudeRad: number;
  /** Rate of right ascension of the node, inertial, rad/s. */
  readonly nodeRateRadps: number;
  readonly perigeeRad: number;
  readonly meanAnomalyRad: number;
  readonly meanMotionRadps: number;
}

/** Below this step of the eccentric anomaly (rad) Kepler's equation counts as solved: 0.03 mm at GPS altitude. */
const KEPLER_STEP_RAD = 1e-12;

/**
 * Two-body orbit with a precessing node, as the GPS almanac is propagated.
 * Source: IS-GPS-200N, table 20-IV with the harmonic terms zero (20.3.3.5.2.1); velocity: its time derivative.
 */
export class KeplerOrbit implements Orbit {
  readonly #e: KeplerElements;
  readonly #referenceS: number;
  readonly #sinIncl: number;
  readonly #cosIncl: number;
  readonly #sinPerigee: number;
  readonly #cosPerigee: number;
  readonly #root: number;

  /** @param referenceS the elements' reference time, seconds after the scenario's start (mostly negative) */
  constructor(elements: KeplerElements, referenceS: number) {
    this.#e = elements;
    this.#referenceS = referenceS;
    this.#sinIncl = Math.sin(elements.inclinationRad);
    this.#cosIncl = Math.cos(elements.inclinationRad);
    this.#sinPerigee = Math.sin(elements.perigeeRad);
    this.#cosPerigee = Math.cos(elements.perigeeRad);
    this.#root = Math.sqrt(1 - elements.eccentricity ** 2);
  }

  stateAt(sinceStartS: number, out: OrbitState): void {
    const { semiMajorM, eccentricity: e, meanMotionRadps } = this.#e;
    const tS = sinceStartS - this.#referenceS;
    const meanAnomaly = (this.#e.meanAnomalyRad + meanMotionRadps * tS) % (2 * Math.PI);

    let eccentricAnomaly = meanAnomaly + e * Math.sin(meanAnomaly);
    let sinE = Math.sin(eccentricAnomaly);
    let cosE = Math.cos(eccentricAnomaly);
    let denominator = 1 - e * cosE;
    for (let pass = 0; pass < 10; pass++) {
      const step = (meanAnomaly - eccentricAnomaly + e * sinE) / denominator;
      if (step < KEPLER_STEP_RAD && step > -KEPLER_STEP_RAD) break;
      eccentricAnomaly += step;
      sinE = Math.sin(eccentricAnomaly);
      cosE = Math.cos(eccentricAnomaly);
      denominator = 1 - e * cosE;
    }

    const cosNu = (cosE - e) / denominator;
    const sinNu = (this.#root * sinE) / denominator;
    const cosU = cosNu * this.#cosPerigee - sinNu * this.#sinPerigee;
    const sinU = sinNu * this.#cosPerigee + cosNu * this.#sinPerigee;
    const radiusM = semiMajorM * denominator;
    const anomalyRate = meanMotionRadps / denominator;
    const radiusRate = semiMajorM * e * sinE * anomalyRate;
    const crossRate = semiMajorM * this.#root * anomalyRate;

    const planeX = radiusM * cosU;
    const planeY = radiusM * sinU;
    const planeVx = radiusRate * cosU - crossRate * sinU;
    const planeVy = radiusRate * sinU + crossRate * cosU;

    const nodeRate = this.#e.nodeRateRadps - EARTH_ROTATION_RADPS;
    const node = this.#e.nodeLongitudeRad + nodeRate * tS;
    const sinNode = Math.sin(node);
    const cosNode = Math.cos(node);
    const tiltedY = planeY * this.#cosIncl;
    const tiltedVy = planeVy * this.#cosIncl;
    out.xM = planeX * cosNode - tiltedY * sinNode;
    out.yM = planeX * sinNode + tiltedY * cosNode;
    out.zM = planeY * this.#sinIncl;
    out.vxMps = planeVx * cosNode - tiltedVy * sinNode - nodeRate * out.yM;
    out.vyMps = planeVx * sinNode + tiltedVy * cosNode + nodeRate * out.xM;
    out.vzMps = planeVy * this.#sinIncl;
  }
}
