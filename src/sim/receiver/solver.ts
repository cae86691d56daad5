import { type Ecef, ecefFromGeodetic, type Geodetic, geodeticFromEcef } from '../../base/frames.js';
import { below, SIDES } from './first-guess.js';
import { type Axes, linearise, localAxes, moved } from './linearise.js';
import type { Measurement } from './measurement.js';
import { NormalEquations } from './normal-equations.js';
import type { Solution } from './solution.js';
import { SolverRows } from './solver-rows.js';

/**
 * A step below this (m) is the last: what is left of the error is its square over twice the distance of a satellite,
 * below 0.01 um, and the directions are so good that a velocity of 4 km/s projects on them within 0.1 mm/s.
 */
const LAST_STEP_M = 0.5;
const MOST_PASSES = 12;
/** Beyond it east and north turn within such a step: the rows are set up anew in those of the place itself. */
const POLAR_DEG = 89.9;

/**
 * Weighted least squares for position and a clock a system from pseudoranges, then velocity and drift from range rates,
 * each by its own standard deviations, with the rows in east, north, up at the place itself. DOP: unweighted, from the
 * inverse of H'H.
 * Source: P. Misra, P. Enge, Global Positioning System: Signals, Measurements, and Performance, chapter 6.
 */
export class Solver {
  readonly #ranges = new NormalEquations();
  readonly #others = new NormalEquations();
  readonly #work = new SolverRows();

  /**
   * @param all measurements, of which the first `count` are used
   * @param columns clocks: the measurements' columns are 0 to `columns` - 1, and each is there
   * @param guess where to start from; where that leads nowhere, and with null, from below the satellites
   * @param heldHeightM ellipsoidal height of a 2D solution, m; null: solve for it
   * @returns null where there are fewer measurements than unknowns or the geometry gives no solution
   */
  solve(
    all: readonly Measurement[],
    count: number,
    columns: number,
    guess: Ecef | null,
    heldHeightM: number | null,
  ): Solution | null {
    if (columns < 1 || count < columns + (heldHeightM === null ? 3 : 2)) return null;
    this.#work.take(all, count);
    const found = guess === null ? null : this.#from(guess, all, count, columns, heldHeightM);
    return found ?? this.#from(below(all, count), all, count, columns, heldHeightM);
  }

  /**
   * A held height, and no idea of the place: on the sphere there are two places, both of which fit the ranges where
   * there is no redundancy. The range rates tell them apart then: at the wrong one they mean a speed of kilometres a
   * second. With redundancy, the wrong one fits worse.
   * @returns the best of the solutions found from several sides of the Earth; null where there is none
   */
  solveFromNothing(all: readonly Measurement[], count: number, columns: number, heldHeightM: number): Solution | null {
    let best: Solution | null = null;
    for (const guess of [null, ...SIDES]) {
      const found = this.solve(all, count, columns, guess, heldHeightM);
      if (found === null) continue;
      if (best === null || unfitnessOf(found) < unfitnessOf(best)) best = found;
    }
    // Residuals are those of the last solution.
    return best && this.solve(all, count, columns, best.position, heldHeightM);
  }

  /** Residual of measurement `i` after the last solution, observed less computed, m. */
  residualM(i: number): number {
    return this.#work.residuals[i] as number;
  }

  /** Square of that residual over the measurement's variance. */
  weightedSquare(i: number): number {
    const residual = this.#work.residuals[i] as number;
    return (this.#work.ranges.weights[i] as number) * residual * residual;
  }

  /** Residuals of the first `count` measurements after the last solution, m. */
  residualsM(count: number): number[] {
    const list: number[] = [];
    for (let i = 0; i < count; i++) list.push(this.#work.residuals[i] as number);
    return list;
  }

  /**
   * Variance of the residual of measurement `i` of the last solution, in units of the measurement's own: from 0, where
   * no other measurement tells anything of it, to 1.
   */
  redundancyOf(i: number): number {
    return 1 - (this.#work.ranges.weights[i] as number) * this.#ranges.varianceOf(this.#work.ranges, i);
  }

  /** Correlation of the residuals of measurements `i` and `j`, which differ, after the last solution. */
  correlationOf(i: number, j: number): number {
    const { weights } = this.#work.ranges;
    const together =
      this.#ranges.covarianceOf(this.#work.ranges, i, j) * Math.sqrt((weights[i] as number) * (weights[j] as number));
    return -together / Math.sqrt(this.redundancyOf(i) * this.redundancyOf(j));
  }

  /**
   * Compares a measurement that the last solution did not have with it.
   * @param count measurements of the last solution
   * @param column its clock's, one of the last solution's
   * @returns observed less computed, m, and the standard deviation of that
   */
  compare(
    solution: Solution,
    count: number,
    measurement: Measurement,
    column: number,
  ): { readonly errorM: number; readonly deviationM: number } {
    this.#work.reserve(count + 1);
    const { slopes, clocks } = this.#work.ranges;
    clocks[count] = column;
    linearise(slopes, this.#work.distances, measurement, count, solution.position, localAxes(solution.geodetic));
    const { pseudorangeM, sigmaM } = measurement;
    const variance = this.#ranges.varianceOf(this.#work.ranges, count);
    return {
      errorM: pseudorangeM - (this.#work.distances[count] as number) - (solution.clockBiasesM[column] as number),
      deviationM: Math.sqrt(sigmaM * sigmaM + variance),
    };
  }

  #from(
    guess: Ecef,
    all: readonly Measurement[],
    count: number,
    columns: number,
    heldHeightM: number | null,
  ): Solution | null {
    const held = heldHeightM !== null;
    const { place } = this.#ranges;
    let position = guess;
    let geodetic = geodeticFromEcef(guess);
    if (held) {
      geodetic = atHeight(geodetic, heldHeightM);
      position = ecefFromGeodetic(geodetic);
    }
    for (let pass = 0; pass < MOST_PASSES; pass++) {
      let axes = localAxes(geodetic);
      if (!this.#step(all, count, columns, held, position, axes)) return null;
      const east = place[0] as number;
      const north = place[1] as number;
      const up = place[2] as number;
      position = moved(position, axes, east, north, up);
      geodetic = geodeticFromEcef(position);
      if (held) {
        geodetic = atHeight(geodetic, heldHeightM);
        position = ecefFromGeodetic(geodetic);
      }
      const step2 = east * east + north * north + up * up;
      if (step2 < LAST_STEP_M * LAST_STEP_M) {
        if (Math.abs(geodetic.latitudeDeg) > POLAR_DEG) {
          axes = localAxes(geodetic);
          if (!this.#step(all, count, columns, held, position, axes)) return null;
        }
        return this.#finish(all, count, columns, held, position, geodetic, axes);
      }
      if (!(step2 < Infinity)) return null;
    }
    return null;
  }

  /** Rows at a place, and by how much it is off; false where they determine nothing. */
  #step(
    all: readonly Measurement[],
    count: number,
    columns: number,
    held: boolean,
    position: Ecef,
    axes: Axes,
  ): boolean {
    const distances = this.#work.distances;
    const observed = this.#work.observed;
    for (let i = 0; i < count; i++) {
      const measurement = all[i] as Measurement;
      linearise(this.#work.ranges.slopes, distances, measurement, i, position, axes);
      observed[i] = measurement.pseudorangeM - (distances[i] as number);
    }
    if (!this.#ranges.reduce(this.#work.ranges, count, columns, held)) return false;
    this.#ranges.solve(this.#work.ranges, observed, count);
    return true;
  }

  /** Residuals, covariance, velocity and dilution of precision, with the rows and the factor of the last pass. */
  #finish(
    all: readonly Measurement[],
    count: number,
    columns: number,
    held: boolean,
    position: Ecef,
    geodetic: Geodetic,
    axes: Axes,
  ): Solution | null {
    const others = this.#others;
    const chiSquare = this.#settle(count);
    this.#ranges.invert();
    const q = this.#ranges.inverse;
    const covariance = {
      eastM2: q[0] as number,
      northM2: q[4] as number,
      eastNorthM2: q[1] as number,
      upM2: held ? null : (q[8] as number),
      eastUpM2: held ? null : (q[2] as number),
      northUpM2: held ? null : (q[5] as number),
    };
    const clockBiasesM: number[] = [];
    for (let c = 0; c < columns; c++) clockBiasesM.push(this.#ranges.clocks[c] as number);

    this.#observeRates(all, count, position);
    if (!others.reduce(this.#work.rates, count, 1, held)) return null;
    others.solve(this.#work.rates, this.#work.observed, count);
    const eastMps = others.place[0] as number;
    const northMps = others.place[1] as number;
    const upMps = others.place[2] as number;
    const clockDriftMps = others.clocks[0] as number;

    if (!others.reduce(this.#work.units, count, columns, held)) return null;
    others.invert();
    const horizontal = (others.inverse[0] as number) + (others.inverse[4] as number);
    const vertical = others.inverse[8] as number;
    // What is not a number, or too large for one, shows here: in everything else it has to go through one of these.
    const rangeRmsM = this.#work.rangeRms(count);
    const zero = 0 * (chiSquare + rangeRmsM + eastMps + northMps + upMps + clockDriftMps + horizontal + vertical);
    if (zero !== 0 || !Number.isFinite(position.xM + position.yM + position.zM)) return null;
    const { xM: xMps, yM: yMps, zM: zMps } = moved(ORIGIN, axes, eastMps, northMps, upMps);
    return {
      position,
      geodetic,
      clockBiasM: clockBiasesM[0] as number,
      clockBiasesM,
      eastMps,
      northMps,
      upMps,
      velocity: { xMps, yMps, zMps },
      clockDriftMps,
      hdop: Math.sqrt(horizontal),
      vdop: held ? null : Math.sqrt(vertical),
      pdop: held ? null : Math.sqrt(horizontal + vertical),
      covariance,
      sigma: {
        eastM: Math.sqrt(covariance.eastM2),
        northM: Math.sqrt(covariance.northM2),
        upM: covariance.upM2 === null ? null : Math.sqrt(covariance.upM2),
      },
      rangeRmsM,
      redundancy: count - columns - (held ? 2 : 3),
      chiSquare,
    };
  }

  /** Residuals at the solution, from what was observed a step before; their weighted sum of squares. */
  #settle(count: number): number {
    const { slopes, clocks, weights } = this.#work.ranges;
    const { place, clocks: biases } = this.#ranges;
    const east = place[0] as number;
    const north = place[1] as number;
    const up = place[2] as number;
    let sum = 0;
    for (let i = 0, at = 0; i < count; i++, at += 3) {
      const moved =
        (slopes[at] as number) * east + (slopes[at + 1] as number) * north + (slopes[at + 2] as number) * up;
      const residual = (this.#work.observed[i] as number) - moved - (biases[clocks[i] as number] as number);
      this.#work.residuals[i] = residual;
      sum += (weights[i] as number) * residual * residual;
    }
    return sum;
  }

  /** Range rates less the satellites' part. */
  #observeRates(all: readonly Measurement[], count: number, { xM, yM, zM }: Ecef): void {
    for (let i = 0; i < count; i++) {
      const { state, rangeRateMps } = all[i] as Measurement;
      const dot = (state.xM - xM) * state.vxMps + (state.yM - yM) * state.vyMps + (state.zM - zM) * state.vzMps;
      this.#work.observed[i] = rangeRateMps - dot / (this.#work.distances[i] as number);
    }
  }
}

/** How little a solution with a held height fits: of two places the smaller is right. */
function unfitnessOf({ redundancy, chiSquare, eastMps, northMps }: Solution): number {
  return redundancy > 0 ? chiSquare : Math.hypot(eastMps, northMps);
}

const ORIGIN: Ecef = { xM: 0, yM: 0, zM: 0 };

function atHeight({ latitudeDeg, longitudeDeg }: Geodetic, heightM: number): Geodetic {
  return { latitudeDeg, longitudeDeg, heightM };
}
