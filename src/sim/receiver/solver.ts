import { EARTH_MEAN_RADIUS_M, RAD_PER_DEG } from '../../base/constants.js';
import { type Ecef, ecefFromGeodetic, type Geodetic, geodeticFromEcef } from '../../base/frames.js';
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
  /** The same velocity in ECEF. */
  readonly velocity: { readonly xMps: number; readonly yMps: number; readonly zMps: number };
  readonly hdop: number;
  /** Null with a held height. */
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** Formal standard deviations from the weights, m; `upM` null with a held height. */
  readonly sigma: { readonly eastM: number; readonly northM: number; readonly upM: number | null };
}

/**
 * A step below this (m) is the last: what is left of the error is its square over twice the distance of a satellite,
 * below 0.01 um, and the directions are so good that a velocity of 4 km/s projects on them within 0.1 mm/s.
 */
const LAST_STEP_M = 0.5;
const MOST_PASSES = 12;
/** More measurements than any constellation has satellites in view. */
const CAPACITY = 64;

/**
 * Weighted least squares for position and clock from pseudoranges, then velocity and drift from range rates, with the
 * rows in east, north, up at the place itself. DOP: unweighted, from the inverse of H'H.
 * Source: P. Misra, P. Enge, Global Positioning System: Signals, Measurements, and Performance, chapter 6.
 */
export class Solver {
  readonly #rows = new Float64Array(CAPACITY * 3);
  readonly #normal = new Float64Array(16);
  readonly #right = new Float64Array(4);
  readonly #diagonal = new Float64Array(4);
  readonly #weights = new Float64Array(CAPACITY);
  readonly #ranges = new Float64Array(CAPACITY);
  readonly #observed = new Float64Array(CAPACITY);

  /**
   * @param all measurements, of which the first `count` are used
   * @param guess where to start from; null: nothing known, from below the satellites
   * @param heldHeightM ellipsoidal height of a 2D solution, m; null: solve for it
   * @returns null where the geometry gives no solution
   */
  solve(all: readonly Measurement[], count: number, guess: Ecef | null, heldHeightM: number | null): Solution | null {
    const held = heldHeightM !== null;
    const n = held ? 3 : 4;
    let geodetic = geodeticFromEcef(guess ?? below(all, count));
    if (held) geodetic = { ...geodetic, heightM: heldHeightM };
    let position = held || guess === null ? ecefFromGeodetic(geodetic) : guess;
    for (let i = 0; i < count; i++) this.#weights[i] = 1 / (all[i] as Measurement).sigmaM ** 2;
    for (let pass = 0; pass < MOST_PASSES; pass++) {
      const axes = localAxes(geodetic);
      this.#linearise(all, count, position, axes);
      for (let i = 0; i < count; i++) {
        this.#observed[i] = (all[i] as Measurement).pseudorangeM - (this.#ranges[i] as number);
      }
      this.#accumulate(count, n);
      if (!factor(this.#normal, n)) return null;
      this.#project(count, n);
      substitute(this.#normal, this.#right, n);
      const east = this.#right[0] as number;
      const north = this.#right[1] as number;
      const up = held ? 0 : (this.#right[2] as number);
      const clockBiasM = this.#right[n - 1] as number;
      position = move(position, axes, east, north, up);
      geodetic = geodeticFromEcef(position);
      if (held) {
        geodetic = { ...geodetic, heightM: heldHeightM };
        position = ecefFromGeodetic(geodetic);
      }
      if (east * east + north * north + up * up < LAST_STEP_M ** 2) {
        return this.#finish(all, count, n, { position, geodetic, clockBiasM }, axes);
      }
    }
    return null;
  }

  /**
   * Three satellites, a held height, and no idea of the place: two places fit the ranges. The range rates tell them
   * apart: at the wrong one they mean a speed of kilometres a second.
   * @returns the slower of the solutions found from several sides of the Earth; null where there is none
   */
  solveFromNothing(all: readonly Measurement[], count: number, heldHeightM: number): Solution | null {
    let best: Solution | null = null;
    for (const guess of [null, ...SIDES]) {
      const found = this.solve(all, count, guess, heldHeightM);
      if (found === null) continue;
      const speed = Math.hypot(found.eastMps, found.northMps);
      if (best === null || speed < Math.hypot(best.eastMps, best.northMps)) best = found;
    }
    return best;
  }

  /** Velocity and dilution of precision, with the rows and the factor of the last pass. */
  #finish(
    all: readonly Measurement[],
    count: number,
    n: number,
    place: Pick<Solution, 'position' | 'geodetic' | 'clockBiasM'>,
    axes: Axes,
  ): Solution | null {
    const { position } = place;
    for (let i = 0; i < count; i++) {
      const { state, rangeRateMps } = all[i] as Measurement;
      const dot =
        (state.xM - position.xM) * state.vxMps +
        (state.yM - position.yM) * state.vyMps +
        (state.zM - position.zM) * state.vzMps;
      this.#observed[i] = rangeRateMps - dot / (this.#ranges[i] as number);
    }
    this.#project(count, n);
    substitute(this.#normal, this.#right, n);
    const eastMps = this.#right[0] as number;
    const northMps = this.#right[1] as number;
    const upMps = n === 3 ? 0 : (this.#right[2] as number);
    const sigma = this.#deviations(n);

    this.#weights.fill(1, 0, count);
    this.#accumulate(count, n);
    if (!factor(this.#normal, n)) return null;
    const { eastM, northM, upM } = this.#deviations(n);
    const horizontal = eastM * eastM + northM * northM;
    const { xM: xMps, yM: yMps, zM: zMps } = move(ORIGIN, axes, eastMps, northMps, upMps);
    return {
      position,
      geodetic: place.geodetic,
      clockBiasM: place.clockBiasM,
      eastMps,
      northMps,
      upMps,
      velocity: { xMps, yMps, zMps },
      hdop: Math.sqrt(horizontal),
      vdop: upM,
      pdop: upM === null ? null : Math.sqrt(horizontal + upM * upM),
      sigma,
    };
  }

  /** Square roots of the inverse's diagonal, from the factor. */
  #deviations(n: number): Solution['sigma'] {
    inverseDiagonal(this.#normal, n, this.#diagonal);
    return {
      eastM: Math.sqrt(this.#diagonal[0] as number),
      northM: Math.sqrt(this.#diagonal[1] as number),
      upM: n === 3 ? null : Math.sqrt(this.#diagonal[2] as number),
    };
  }

  /** Rows -(unit vector), east, north, up (the clock's column is 1 throughout), and computed ranges at a position. */
  #linearise(all: readonly Measurement[], count: number, position: Ecef, axes: Axes): void {
    const { sinLat, cosLat, sinLon, cosLon } = axes;
    for (let i = 0; i < count; i++) {
      const { state } = all[i] as Measurement;
      const dx = state.xM - position.xM;
      const dy = state.yM - position.yM;
      const dz = state.zM - position.zM;
      const rangeM = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const along = cosLon * dx + sinLon * dy;
      this.#rows[i * 3] = (sinLon * dx - cosLon * dy) / rangeM;
      this.#rows[i * 3 + 1] = (sinLat * along - cosLat * dz) / rangeM;
      this.#rows[i * 3 + 2] = -(cosLat * along + sinLat * dz) / rangeM;
      this.#ranges[i] = rangeM;
    }
  }

  /** The normal matrix H'WH, lower triangle: columns east, north, up, clock, or without up (n = 3). */
  #accumulate(count: number, n: number): void {
    let ee = 0;
    let ne = 0;
    let nn = 0;
    let ue = 0;
    let un = 0;
    let uu = 0;
    let ce = 0;
    let cn = 0;
    let cu = 0;
    let cc = 0;
    for (let i = 0; i < count; i++) {
      const w = this.#weights[i] as number;
      const e = this.#rows[i * 3] as number;
      const north = this.#rows[i * 3 + 1] as number;
      const u = this.#rows[i * 3 + 2] as number;
      ee += w * e * e;
      ne += w * north * e;
      nn += w * north * north;
      ue += w * u * e;
      un += w * u * north;
      uu += w * u * u;
      ce += w * e;
      cn += w * north;
      cu += w * u;
      cc += w;
    }
    const a = this.#normal;
    a[0] = ee;
    a[n] = ne;
    a[n + 1] = nn;
    if (n === 4) {
      a[8] = ue;
      a[9] = un;
      a[10] = uu;
      a[14] = cu;
    }
    const last = n * (n - 1);
    a[last] = ce;
    a[last + 1] = cn;
    a[last + n - 1] = cc;
  }

  /** The right-hand side H'Wy. */
  #project(count: number, n: number): void {
    let east = 0;
    let north = 0;
    let up = 0;
    let clock = 0;
    for (let i = 0; i < count; i++) {
      const weighted = (this.#weights[i] as number) * (this.#observed[i] as number);
      east += weighted * (this.#rows[i * 3] as number);
      north += weighted * (this.#rows[i * 3 + 1] as number);
      up += weighted * (this.#rows[i * 3 + 2] as number);
      clock += weighted;
    }
    this.#right[0] = east;
    this.#right[1] = north;
    this.#right[2] = n === 3 ? clock : up;
    this.#right[3] = clock;
  }
}

interface Axes {
  readonly sinLat: number;
  readonly cosLat: number;
  readonly sinLon: number;
  readonly cosLon: number;
}

/** Places on the axes, one on each side of the Earth. */
const SIDES: readonly Ecef[] = [1, -1].flatMap((sign) => {
  const m = sign * EARTH_MEAN_RADIUS_M;
  return [
    { xM: m, yM: 0, zM: 0 },
    { xM: 0, yM: m, zM: 0 },
    { xM: 0, yM: 0, zM: m },
  ];
});

const ORIGIN: Ecef = { xM: 0, yM: 0, zM: 0 };

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
function below(all: readonly Measurement[], count: number): Ecef {
  let [x, y, z] = [0, 0, 0];
  for (const { state } of all.slice(0, count)) {
    x += state.xM;
    y += state.yM;
    z += state.zM;
  }
  const scale = EARTH_MEAN_RADIUS_M / Math.hypot(x, y, z);
  return { xM: x * scale, yM: y * scale, zM: z * scale };
}
