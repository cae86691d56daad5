import type { Ecef } from '../../base/frames.js';
import type { SuspectSatellite } from '../epoch.js';
import type { Measurement } from './measurement.js';
import type { Solution, Solver } from './solver.js';

/** A solution with what its check found. */
export interface Checked {
  /** Null: none, or one whose measurements contradict each other too much. */
  readonly solution: Solution | null;
  /** Places of the measurements that were left out, ascending. */
  readonly excluded: readonly number[];
  /** Of those that were used, in their order, m. */
  readonly residualsM: readonly number[];
  /** Of those used the one that fits least; null without redundancy. */
  readonly suspect: (Omit<SuspectSatellite, 'id'> & { readonly index: number }) | null;
}

/** Normal deviate that is exceeded once in 100,000 times: how seldom a check of good measurements fails. */
const FALSE_ALARM_DEVIATE = 4.265;
/** A single residual is suspected beyond it: once in 1000, two-sided (W. Baarda, A testing procedure, 1968). */
const SUSPECT_DEVIATE = 3.29;
/** Measurements are left out one by one, and no more than so many. */
const MOST_EXCLUDED = 6;
/**
 * A solution whose normalised residuals have a root mean square above this is not reported: less contradiction is what
 * streets bring, and modules report it (common practice).
 */
const WORST_RMS = 10;

const NOTHING: Checked = { solution: null, excluded: [], residualsM: [], suspect: null };

/**
 * Solves, tests the residuals' weighted sum of squares against chi-square, and while it fails leaves out the
 * measurement
 * with the largest normalised residual, as long as one can be spared. A system of which one measurement is left is left
 * out whole: it would only tell its own clock.
 * Source: W. Baarda, A testing procedure for use in geodetic networks (1968); chi-square limits by E. B. Wilson and
 * M. M. Hilferty, The distribution of chi-square (1931).
 */
export function solveChecked(
  solver: Solver,
  all: readonly Measurement[],
  count: number,
  columns: number,
  guess: Ecef | null,
  heldHeightM: number | null,
): Checked {
  const places = 2 + (heldHeightM === null ? 1 : 0);
  const from = heldHeightM !== null && guess === null;
  let solution = from
    ? solver.solveFromNothing(all, count, columns, heldHeightM)
    : solver.solve(all, count, columns, guess, heldHeightM);
  if (solution === null) return NOTHING;
  let used = all;
  let usedCount = count;
  let spare = count - places - columns;
  // Which of the original ones each used one is; null: as they are.
  let origin: readonly number[] | null = null;
  while (spare > 0 && isContradicted(solver, used, usedCount, spare) && count - usedCount < MOST_EXCLUDED) {
    const worst = worstOf(solver, used, usedCount, solution);
    const left = without(used, usedCount, origin, worst);
    const more = left.measurements.length - places - left.columns;
    if (more < 0) break;
    const again = solver.solve(
      left.measurements,
      left.measurements.length,
      left.columns,
      solution.position,
      heldHeightM,
    );
    if (again === null) break;
    solution = again;
    used = left.measurements;
    usedCount = used.length;
    origin = left.origin;
    spare = more;
  }
  if (spare > 0 && rmsOf(solver, used, usedCount, spare) > WORST_RMS) return NOTHING;
  return {
    solution,
    excluded: origin === null ? [] : missing(count, origin),
    residualsM: Array.from({ length: usedCount }, (_, i) => solver.residualM(i)),
    suspect: spare > 0 ? suspectOf(solver, used, usedCount, solution, origin) : null,
  };
}

/** Sum of the squared residuals, each over its measurement's variance. */
function squares(solver: Solver, used: readonly Measurement[], count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const normalised = solver.residualM(i) / (used[i] as Measurement).sigmaM;
    sum += normalised * normalised;
  }
  return sum;
}

function isContradicted(solver: Solver, used: readonly Measurement[], count: number, spare: number): boolean {
  return squares(solver, used, count) > chiSquareLimit(spare);
}

function rmsOf(solver: Solver, used: readonly Measurement[], count: number, spare: number): number {
  return Math.sqrt(squares(solver, used, count) / spare);
}

/** Chi-square of so many degrees of freedom that is exceeded once in 100,000 times. */
function chiSquareLimit(degrees: number): number {
  const part = 2 / (9 * degrees);
  return degrees * (1 - part + FALSE_ALARM_DEVIATE * Math.sqrt(part)) ** 3;
}

/** The used measurement with the largest normalised residual. */
function worstOf(solver: Solver, used: readonly Measurement[], count: number, solution: Solution): number {
  let [worst, largest] = [0, -1];
  for (let i = 0; i < count; i++) {
    const size = Math.abs(solver.residualM(i)) / Math.sqrt(varianceOf(solver, used, i, solution));
    if (size > largest) [worst, largest] = [i, size];
  }
  return worst;
}

/** A measurement that nothing checks has a residual without variance: rounding must not make it suspect. */
const LEAST_SHARE = 1e-6;

function varianceOf(solver: Solver, used: readonly Measurement[], index: number, solution: Solution): number {
  const least = LEAST_SHARE * (used[index] as Measurement).sigmaM ** 2;
  return Math.max(least, solver.residualVarianceM2(used, index, solution));
}

/** The used measurements but one, and but what would be alone in its column, columns closed up. */
function without(used: readonly Measurement[], count: number, origin: readonly number[] | null, worst: number) {
  const kept = Array.from({ length: count }, (_, i) => i).filter((i) => i !== worst);
  const sizes = new Map<number, number>();
  const columnOf = (i: number) => (used[i] as Measurement).column;
  for (const i of kept) sizes.set(columnOf(i), (sizes.get(columnOf(i)) ?? 0) + 1);
  const ranged = kept.filter((i) => (sizes.get(columnOf(i)) as number) > 1);
  const columns = [...new Set(ranged.map(columnOf))];
  return {
    measurements: ranged.map((i) => ({ ...(used[i] as Measurement), column: columns.indexOf(columnOf(i)) })),
    columns: columns.length,
    origin: ranged.map((i) => origin?.[i] ?? i),
  };
}

function missing(count: number, origin: readonly number[]): number[] {
  return Array.from({ length: count }, (_, i) => i).filter((i) => !origin.includes(i));
}

function suspectOf(
  solver: Solver,
  used: readonly Measurement[],
  count: number,
  solution: Solution,
  origin: readonly number[] | null,
): Checked['suspect'] {
  const worst = worstOf(solver, used, count, solution);
  const variance = varianceOf(solver, used, worst, solution);
  const sigma2 = (used[worst] as Measurement).sigmaM ** 2;
  const residualM = solver.residualM(worst);
  const size = Math.abs(residualM) / Math.sqrt(variance);
  return {
    index: origin?.[worst] ?? worst,
    missedProbability: normalBelow(SUSPECT_DEVIATE - size),
    biasM: (residualM * sigma2) / variance,
    deviationM: sigma2 / Math.sqrt(variance),
  };
}

/**
 * Share of a normal distribution below `x`, within 1e-7.
 * Source: M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.2.17.
 */
function normalBelow(x: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const tail =
    ((Math.exp((-x * x) / 2) * t) / Math.sqrt(2 * Math.PI)) *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return x < 0 ? tail : 1 - tail;
}
