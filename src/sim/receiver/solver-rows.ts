import type { Measurement } from './measurement.js';
import type { Rows } from './normal-equations.js';

/** Of measurements, to begin with. */
const CAPACITY = 128;

/** Room for a solver's equations, one row a measurement; it grows with them and is never given back. */
export class SolverRows {
  /** For position, for velocity (one clock for all) and for dilution of precision (unweighted): the same slopes. */
  ranges: Rows = { slopes: new Float64Array(0), clocks: new Uint8Array(0), weights: new Float64Array(0) };
  rates = this.ranges;
  units = this.ranges;
  /** Of the satellites, m. */
  distances = new Float64Array(0);
  /** What is observed less what is computed. */
  observed = new Float64Array(0);
  /** After the solution, m. */
  residuals = new Float64Array(0);
  #capacity = 0;

  /** Weights and columns of the first `count` measurements. */
  take(all: readonly Measurement[], count: number): void {
    this.reserve(count);
    const { weights, clocks } = this.ranges;
    const rateWeights = this.rates.weights;
    for (let i = 0; i < count; i++) {
      const { sigmaM, rangeRateSigmaMps, column } = all[i] as Measurement;
      weights[i] = 1 / (sigmaM * sigmaM);
      rateWeights[i] = 1 / (rangeRateSigmaMps * rangeRateSigmaMps);
      clocks[i] = column;
    }
  }

  /** Root mean square of the ranges' standard deviations, m. */
  rangeRms(count: number): number {
    let sum = 0;
    for (let i = 0; i < count; i++) sum += 1 / (this.ranges.weights[i] as number);
    return Math.sqrt(sum / count);
  }

  /** Room for so many measurements; what is there stays. */
  reserve(count: number): void {
    if (count <= this.#capacity) return;
    const size = Math.max(CAPACITY, 2 * count);
    this.#capacity = size;
    const slopes = grown(this.ranges.slopes, 3 * size);
    const clocks = new Uint8Array(size);
    clocks.set(this.ranges.clocks);
    this.ranges = { slopes, clocks, weights: grown(this.ranges.weights, size) };
    this.rates = { slopes, clocks: new Uint8Array(size), weights: grown(this.rates.weights, size) };
    this.units = { slopes, clocks, weights: new Float64Array(size).fill(1) };
    this.distances = grown(this.distances, size);
    this.observed = grown(this.observed, size);
    this.residuals = grown(this.residuals, size);
  }
}

function grown(from: Float64Array, length: number): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(length);
  larger.set(from);
  return larger;
}
