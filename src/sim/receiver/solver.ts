import { RAD_PER_DEG } from '../../base/constants.js';
import type { Ecef, Geodetic } from '../../base/frames.js';
import { ecefFromGeodetic, geodeticFromEcef } from '../../base/frames.js';
import type { OrbitState } from '../sky/orbit.js';
import { factor, inverseDiagonal, substitute } from './cholesky.js';

/** One satellite's measurements, as the solution uses them. */
export interface Measurement {
  /** Where the satellite was, by the receiver's own knowledge, in the frame of the reception. */
  state: OrbitState;
  pseudorangeM: number;
  rangeRateMps: number;
  /** Standard deviation of the pseudorange, m. */
  sigmaM: number;
}

/** Position, velocity and dilution of precision. */
export interface Solution {
  readonly position: Ecef;
  readonly geodetic: Geodetic;
  readonly clockBiasM: number;
  readonly eastMps: number;
  readonly northMps: number;
  readonly upMps: number;
  readonly hdop: number;
  /** Null with a held height. */
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** Formal standard deviations from the weights, m; `upM` null with a held height. */
  readonly sigma: { readonly eastM: number; readonly northM: number; readonly upM: number | null };
}

/** A step below this (m) leaves an error under 0.03 mm: it is squared over twice the distance of a satellite. */
const LAST_STEP_M = 30;
const MOST_PASSES = 12;
/** More measurements than any constellation has satellites in view. */
const CAPACITY = 64;

/**
 * Weighted least squares for position and clock from pseudoranges, then velocity and drift from range rates, with the
 * rows in east, north, up at the place itself. DOP: unweighted, from the inverse of H'H.
 * Source: P. Misra, P. Enge, Global Positioning System: Signals, Measurements, and Performance, chapter 6.
 */
export class Solver {
  readonly #rows = new Float64Array(CAPACITY * 4);
  readonly #normal = new Float64Array(16);
  readonly #right = new Float64Array(4);
  readonly #diagonal = new Float64Array(4);
  readonly #residuals = new Float64Array(CAPACITY);

  /**
   * @param guess where to start from; null: nothing known, from below the satellites
   * @param heldHeightM ellipsoidal height of a 2D solution, m; null: solve for it
   * @returns null where the geometry gives no solution
   */
  solve(all: readonly Measurement[], guess: Ecef | null, heldHeightM: number | null): Solution | null {
    const held = heldHeightM !== null;
    const n = held ? 3 : 4;
    let geodetic = geodeticFromEcef(guess ?? below(all));
    if (held) geodetic = { ...geodetic, heightM: heldHeightM };
    let position = ecefFromGeodetic(geodetic);
    let clockBiasM = 0;
    for (let pass = 0; pass < MOST_PASSES; pass++) {
      const axes = localAxes(geodetic);
      this.#linearise(all, position, axes, held);
      if (!this.#solveNormal(all, n, (i) => (all[i] as Measurement).pseudorangeM - (this.#residuals[i] as number)))
        return null;
      const [east, north, third] = this.#right as unknown as [number, number, number];
      const up = held ? 0 : third;
      clockBiasM = this.#right[n - 1] as number;
      position = move(position, axes, east, north, up);
      geodetic = geodeticFromEcef(position);
      if (held) {
        geodetic = { ...geodetic, heightM: heldHeightM };
        position = ecefFromGeodetic(geodetic);
      }
      if (east * east + north * north + up * up < LAST_STEP_M ** 2) {
        return this.#finish(all, n, position, geodetic, clockBiasM, held);
      }
    }
    return null;
  }

  /** Rows -(unit vector), 1 and computed ranges at a position. */
  #linearise(all: readonly Measurement[], position: Ecef, axes: Axes, held: boolean): void {
    const n = held ? 3 : 4;
    const { sinLat, cosLat, sinLon, cosLon } = axes;
    for (let i = 0; i < all.length; i++) {
      const { state } = all[i] as Measurement;
      const dx = state.xM - position.xM;
      const dy = state.yM - position.yM;
      const dz = state.zM - position.zM;
      const rangeM = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const along = cosLon * dx + sinLon * dy;
      const row = i * n;
      this.#rows[row] = -(cosLon * dy - sinLon * dx) / rangeM;
      this.#rows[row + 1] = -(cosLat * dz - sinLat * along) / rangeM;
      if (!held) this.#rows[row + 2] = -(cosLat * along + sinLat * dz) / rangeM;
      this.#rows[row + n - 1] = 1;
      this.#residuals[i] = rangeM;
    }
  }

  /** Solves the weighted normal equations for one observed-minus-computed value a row; result in `#right`. */
  #solveNormal(all: readonly Measurement[], n: number, observed: (i: number) => number): boolean {
    this.#accumulate(all, n, observed, true);
    if (!factor(this.#normal, n)) return false;
    substitute(this.#normal, this.#right, n);
    return true;
  }

  #accumulate(
    all: readonly Measurement[],
    n: number,
    observed: ((i: number) => number) | null,
    weighted: boolean,
  ): void {
    const normal = this.#normal;
    const right = this.#right;
    normal.fill(0);
    right.fill(0);
    for (let i = 0; i < all.length; i++) {
      const { sigmaM } = all[i] as Measurement;
      const weight = weighted ? 1 / (sigmaM * sigmaM) : 1;
      const value = observed === null ? 0 : observed(i);
      for (let r = 0; r < n; r++) {
        const h = weight * (this.#rows[i * n + r] as number);
        right[r] = (right[r] as number) + h * value;
        for (let c = 0; c <= r; c++) {
          normal[r * n + c] = (normal[r * n + c] as number) + h * (this.#rows[i * n + c] as number);
        }
      }
    }
  }

  #finish(
    all: readonly Measurement[],
    n: number,
    position: Ecef,
    geodetic: Geodetic,
    clockBiasM: number,
    held: boolean,
  ): Solution | null {
    const axes = localAxes(geodetic);
    this.#linearise(all, position, axes, held);
    const rate = (i: number) => {
      const { state, rangeRateMps } = all[i] as Measurement;
      const rangeM = this.#residuals[i] as number;
      const along =
        ((state.xM - position.xM) * state.vxMps +
          (state.yM - position.yM) * state.vyMps +
          (state.zM - position.zM) * state.vzMps) /
        rangeM;
      return rangeRateMps - along;
    };
    if (!this.#solveNormal(all, n, rate)) return null;
    const [eastMps, northMps, third] = this.#right as unknown as [number, number, number];
    const upMps = held ? 0 : third;
    inverseDiagonal(this.#normal, n, this.#diagonal);
    const [vEast, vNorth, vUp] = this.#diagonal as unknown as [number, number, number];
    const sigma = { eastM: Math.sqrt(vEast), northM: Math.sqrt(vNorth), upM: held ? null : Math.sqrt(vUp) };

    this.#accumulate(all, n, null, false);
    if (!factor(this.#normal, n)) return null;
    inverseDiagonal(this.#normal, n, this.#diagonal);
    const [qEast, qNorth, qUp] = this.#diagonal as unknown as [number, number, number];
    return {
      position,
      geodetic,
      clockBiasM,
      eastMps,
      northMps,
      upMps,
      hdop: Math.sqrt(qEast + qNorth),
      vdop: held ? null : Math.sqrt(qUp),
      pdop: held ? null : Math.sqrt(qEast + qNorth + qUp),
      sigma,
    };
  }
}

interface Axes {
  readonly sinLat: number;
  readonly cosLat: number;
  readonly sinLon: number;
  readonly cosLon: number;
}

function localAxes({ latitudeDeg, longitudeDeg }: Geodetic): Axes {
  const latRad = latitudeDeg * RAD_PER_DEG;
  const lonRad = longitudeDeg * RAD_PER_DEG;
  return { sinLat: Math.sin(latRad), cosLat: Math.cos(latRad), sinLon: Math.sin(lonRad), cosLon: Math.cos(lonRad) };
}

function move(from: Ecef, { sinLat, cosLat, sinLon, cosLon }: Axes, east: number, north: number, up: number): Ecef {
  const along = cosLat * up - sinLat * north;
  return {
    xM: from.xM + cosLon * along - sinLon * east,
    yM: from.yM + sinLon * along + cosLon * east,
    zM: from.zM + cosLat * north + sinLat * up,
  };
}

/** A first guess from nothing: the Earth's surface below the satellites' mean direction. */
function below(all: readonly Measurement[]): Ecef {
  let [x, y, z] = [0, 0, 0];
  for (const { state } of all) {
    x += state.xM;
    y += state.yM;
    z += state.zM;
  }
  const scale = 6_371_000 / Math.hypot(x, y, z);
  return { xM: x * scale, yM: y * scale, zM: z * scale };
}
