import { factor, invert, substitute } from './cholesky.js';

/** Rows of a least-squares problem for a place and several clocks; those from `count` on are spare. */
export interface Rows {
  /** East, north and up of each row. */
  readonly slopes: Float64Array;
  /** The clock that each row has in it, with the factor 1. */
  readonly clocks: Uint8Array;
  readonly weights: Float64Array;
}

/**
 * Weighted least squares for three unknowns that all rows share and a clock for each group of rows. Every row has its
 * clock alone, so that the clocks' part of the normal matrix is diagonal: they are eliminated first, and a 3 x 3 system
 * is left, of slopes less their group's weighted mean.
 * Source: elimination of nuisance parameters, from memory (K.-R. Koch, Parameter Estimation and Hypothesis Testing in
 * Linear Models, section 3.2).
 */
export class NormalEquations {
  /** Inverse of the reduced matrix, 3 x 3, from {@link invert}: covariance where weights are 1 / variance. */
  readonly inverse = new Float64Array(9);
  /** East, north, up, from {@link solve}. */
  readonly place = new Float64Array(3);
  /** One for each group, from {@link solve}. */
  clocks = new Float64Array(8);
  readonly #matrix = new Float64Array(9);
  readonly #diagonal = new Float64Array(3);
  /** By group: sum of weights, weighted sums of east, north, up. */
  #sums = new Float64Array(32);
  #columns = 0;
  #held = false;

  /**
   * Builds and factors the reduced matrix.
   * @param columns number of clocks
   * @param held the third unknown stays zero
   * @returns false where the rows determine no place
   */
  reduce({ slopes, clocks, weights }: Rows, count: number, columns: number, held: boolean): boolean {
    this.#reserve(columns);
    this.#columns = columns;
    this.#held = held;
    const sums = this.#sums;
    sums.fill(0, 0, 4 * columns);
    let ee = 0;
    let ne = 0;
    let nn = 0;
    let ue = 0;
    let un = 0;
    let uu = 0;
    for (let i = 0, at = 0; i < count; i++, at += 3) {
      const w = weights[i] as number;
      const e = slopes[at] as number;
      const n = slopes[at + 1] as number;
      const u = slopes[at + 2] as number;
      const we = w * e;
      const wn = w * n;
      const wu = w * u;
      ee += we * e;
      ne += wn * e;
      nn += wn * n;
      ue += wu * e;
      un += wu * n;
      uu += wu * u;
      const c = 4 * (clocks[i] as number);
      (sums[c] as number) += w;
      (sums[c + 1] as number) += we;
      (sums[c + 2] as number) += wn;
      (sums[c + 3] as number) += wu;
    }
    const diagonal = this.#diagonal;
    diagonal[0] = ee;
    diagonal[1] = nn;
    diagonal[2] = held ? 0 : uu;
    for (let c = 0; c < 4 * columns; c += 4) {
      const share = 1 / (sums[c] as number);
      const e = sums[c + 1] as number;
      const n = sums[c + 2] as number;
      const u = sums[c + 3] as number;
      ee -= e * e * share;
      ne -= n * e * share;
      nn -= n * n * share;
      ue -= u * e * share;
      un -= u * n * share;
      uu -= u * u * share;
    }
    const a = this.#matrix;
    a[0] = ee;
    a[3] = ne;
    a[4] = nn;
    a[6] = held ? 0 : ue;
    a[7] = held ? 0 : un;
    a[8] = held ? 1 : uu;
    return factor(a, 3, diagonal);
  }

  /** Solves for what is observed, a value for each row that {@link reduce} had. */
  solve({ slopes, clocks, weights }: Rows, observed: Float64Array, count: number): void {
    const { place, clocks: found } = this;
    const sums = this.#sums;
    found.fill(0, 0, this.#columns);
    let east = 0;
    let north = 0;
    let up = 0;
    for (let i = 0, at = 0; i < count; i++, at += 3) {
      const weighted = (weights[i] as number) * (observed[i] as number);
      east += weighted * (slopes[at] as number);
      north += weighted * (slopes[at + 1] as number);
      up += weighted * (slopes[at + 2] as number);
      (found[clocks[i] as number] as number) += weighted;
    }
    for (let c = 0; c < this.#columns; c++) {
      const mean = (found[c] as number) / (sums[4 * c] as number);
      east -= mean * (sums[4 * c + 1] as number);
      north -= mean * (sums[4 * c + 2] as number);
      up -= mean * (sums[4 * c + 3] as number);
    }
    place[0] = east;
    place[1] = north;
    place[2] = this.#held ? 0 : up;
    substitute(this.#matrix, place, 3);
    const e = place[0] as number;
    const n = place[1] as number;
    const u = place[2] as number;
    for (let c = 0; c < this.#columns; c++) {
      const along = (sums[4 * c + 1] as number) * e + (sums[4 * c + 2] as number) * n + (sums[4 * c + 3] as number) * u;
      found[c] = ((found[c] as number) - along) / (sums[4 * c] as number);
    }
  }

  /** Fills {@link inverse}; a held unknown has no variance. */
  invert(): void {
    invert(this.#matrix, 3, this.inverse);
    if (this.#held) this.inverse[8] = 0;
  }

  /** Variance of what the solution says of row `i`, after {@link invert}; the row need not have been in it. */
  varianceOf(rows: Rows, i: number): number {
    return this.covarianceOf(rows, i, i);
  }

  /** Covariance of what the solution says of rows `i` and `j`, likewise. */
  covarianceOf({ slopes, clocks }: Rows, i: number, j: number): number {
    const sums = this.#sums;
    const q = this.inverse;
    const c = 4 * (clocks[i] as number);
    const d = 4 * (clocks[j] as number);
    const share = 1 / (sums[c] as number);
    const other = 1 / (sums[d] as number);
    const e = (slopes[3 * i] as number) - (sums[c + 1] as number) * share;
    const n = (slopes[3 * i + 1] as number) - (sums[c + 2] as number) * share;
    const u = (slopes[3 * i + 2] as number) - (sums[c + 3] as number) * share;
    const f = (slopes[3 * j] as number) - (sums[d + 1] as number) * other;
    const o = (slopes[3 * j + 1] as number) - (sums[d + 2] as number) * other;
    const v = (slopes[3 * j + 2] as number) - (sums[d + 3] as number) * other;
    const east = (q[0] as number) * f + (q[1] as number) * o + (q[2] as number) * v;
    const north = (q[3] as number) * f + (q[4] as number) * o + (q[5] as number) * v;
    const up = (q[6] as number) * f + (q[7] as number) * o + (q[8] as number) * v;
    return e * east + n * north + u * up + (c === d ? share : 0);
  }

  #reserve(columns: number): void {
    if (columns <= this.clocks.length) return;
    this.clocks = new Float64Array(columns);
    this.#sums = new Float64Array(4 * columns);
  }
}
