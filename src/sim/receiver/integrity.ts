import type { Ecef } from '../../base/frames.js';
import { chiSquareLimit, noncentralBelow } from './chi-square.js';
import type { Measurement } from './measurement.js';
import type { Solution, Solver } from './solver.js';

/** The measurement that the check likes least: what GBS tells. */
export interface Suspect {
  /** Its place among the measurements. */
  readonly index: number;
  /** Its estimated error, and the standard deviation of that estimate, m. */
  readonly biasM: number;
  readonly deviationM: number;
  /**
   * Probability that the check would pass with an error of this size in it: of the non-central chi-square
   * distribution below the check's limit.
   */
  readonly missedProbability: number;
}

/** A solution that agrees with its own measurements. */
export interface CheckedSolution {
  readonly solution: Solution | null;
  /** Residuals of the measurements used, m, in their order. */
  readonly residualsM: readonly number[];
  /** Places of those not used, ascending: with an error, or alone of their system once others are out. */
  readonly excluded: readonly number[];
  /** Null without redundancy. */
  readonly suspect: Suspect | null;
}

/** Probability that an epoch without any error fails the check: less than once in a day of 1 Hz. */
const FALSE_ALARM = 1e-5;
/** So many measurements with errors can be taken out: more of them agree with each other by chance. */
const MOST_FAULTY = 5;
/** Residuals of measurements that the others tell less of than this are rounding. */
const LEAST_REDUNDANCY = 1e-6;

const NOTHING: CheckedSolution = { solution: null, residualsM: [], excluded: [], suspect: null };
const NONE: readonly number[] = [];

/**
 * Solves, and checks the weighted sum of squared residuals against what chance gives but once in 100,000 epochs. If it
 * is more, the measurement with the largest normalised residual is taken out, or the two that explain most of the sum,
 * and
 * the rest solved anew, as long as there is redundancy to check it by. What cannot be reconciled so is not reported:
 * the receiver has no fix then.
 * Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968), tests of the overall model and w;
 * receiver
 * autonomous integrity monitoring as common practice has it.
 * @param all measurements, of which the first `count` are used
 * @param columns clocks, as {@link Solver.solve} takes them
 * @param guess where to start from; null: no idea
 * @param heldHeightM ellipsoidal height of a 2D solution, m; null: solve for it
 */
export function solveChecked(
  solver: Solver,
  all: readonly Measurement[],
  count: number,
  columns: number,
  guess: Ecef | null,
  heldHeightM: number | null,
): CheckedSolution {
  const solution =
    guess === null && heldHeightM !== null
      ? solver.solveFromNothing(all, count, columns, heldHeightM)
      : solver.solve(all, count, columns, guess, heldHeightM);
  if (solution === null) return NOTHING;
  const suspect = suspectOf(solver, solution, count);
  if (passes(solution)) return { solution, residualsM: solver.residualsM(count), excluded: NONE, suspect };
  return suspect === null ? NOTHING : exclude(solver, { all, count, columns, heldHeightM }, solution, suspect);
}

interface Problem {
  readonly all: readonly Measurement[];
  readonly count: number;
  readonly columns: number;
  readonly heldHeightM: number | null;
}

/** What is left of the measurements, with clock columns that are dense again. */
interface Rest {
  readonly places: readonly number[];
  readonly measurements: readonly Measurement[];
  readonly columns: number;
  /** New column by old one; -1: gone. */
  readonly columnOf: readonly number[];
}

/**
 * Takes out the one that the residuals point at, or, where that is not enough, the two; and so on from there.
 */
function exclude(solver: Solver, problem: Problem, first: Solution, firstSuspect: Suspect): CheckedSolution {
  const { heldHeightM } = problem;
  let from = first.position;
  let faulty: number[] = [];
  let rest = without(problem, faulty);
  let worst: readonly number[] = [firstSuspect.index];
  for (;;) {
    const more = worst.map((index) => rest.places[index] as number);
    if (more.length === 0 || faulty.length + more.length > MOST_FAULTY) return NOTHING;
    const fewer = without(problem, [...faulty, ...more]);
    const found = solveRest(solver, fewer, from, heldHeightM);
    if (found === null) return NOTHING;
    if (more.length > 1 || passes(found)) {
      faulty = [...faulty, ...more];
      rest = fewer;
      from = found.position;
      if (passes(found)) break;
      const next = suspectOf(solver, found, rest.places.length);
      worst = next === null ? [] : [next.index];
    } else {
      // Two errors can make a third one look the worst: back, and look for the two at once.
      if (solveRest(solver, rest, from, heldHeightM) === null) return NOTHING;
      worst = worstPair(solver, rest.places.length);
    }
  }
  return report(solver, problem, readmit(solver, problem, faulty, from), from, first, firstSuspect);
}

/** Those that fit after all, once the others are out, are no longer among the faulty. */
function readmit(solver: Solver, problem: Problem, faulty: readonly number[], from: Ecef): readonly number[] {
  let left = faulty;
  for (let i = 0; i + 1 < faulty.length; i++) {
    const fewer = left.filter((place) => place !== faulty[i]);
    const found = solveRest(solver, without(problem, fewer), from, problem.heldHeightM);
    if (found !== null && passes(found)) left = fewer;
  }
  return left;
}

function report(
  solver: Solver,
  problem: Problem,
  faulty: readonly number[],
  from: Ecef,
  first: Solution,
  firstSuspect: Suspect,
): CheckedSolution {
  const rest = without(problem, faulty);
  const solution = solveRest(solver, rest, from, problem.heldHeightM);
  if (solution === null) return NOTHING;
  const used = new Set(rest.places);
  const excluded: number[] = [];
  for (let i = 0; i < problem.count; i++) if (!used.has(i)) excluded.push(i);
  const residualsM = solver.residualsM(rest.places.length);
  const suspect = worstFaulty(solver, problem, rest, faulty, solution, first.redundancy) ?? firstSuspect;
  return { solution, residualsM, excluded, suspect };
}

/**
 * The two without which the weighted sum of squared residuals is smallest: of normalised residuals a and b with the
 * correlation c it loses (a^2 - 2 a b c + b^2) / (1 - c^2).
 */
function worstPair(solver: Solver, count: number): readonly number[] {
  const normalised = Float64Array.from({ length: count }, (_, i) => {
    const own = solver.redundancyOf(i);
    return own < LEAST_REDUNDANCY ? 0 : Math.sign(solver.residualM(i)) * Math.sqrt(solver.weightedSquare(i) / own);
  });
  let worst: readonly number[] = [];
  let largest = 0;
  for (let i = 0; i < count; i++) {
    const a = normalised[i] as number;
    if (a === 0) continue;
    for (let j = 0; j < i; j++) {
      const b = normalised[j] as number;
      if (b === 0) continue;
      const c = solver.correlationOf(i, j);
      const own = 1 - c * c;
      if (own < LEAST_REDUNDANCY) continue;
      const lost = (a * a - 2 * a * b * c + b * b) / own;
      if (lost <= largest) continue;
      largest = lost;
      worst = [j, i];
    }
  }
  return worst;
}

/** A solution of the rest with redundancy to check it by. */
function solveRest(solver: Solver, rest: Rest, from: Ecef, heldHeightM: number | null): Solution | null {
  const { measurements, columns } = rest;
  const solution = solver.solve(measurements, measurements.length, columns, from, heldHeightM);
  return solution !== null && solution.redundancy > 0 ? solution : null;
}

/** A system with a single measurement left tells of its own clock alone: it goes too. */
function without({ all, count, columns }: Problem, faulty: readonly number[]): Rest {
  const left = new Array<number>(columns).fill(0);
  const stays = (i: number) => !faulty.includes(i);
  for (let i = 0; i < count; i++) if (stays(i)) (left[(all[i] as Measurement).column] as number)++;
  let next = 0;
  const columnOf = left.map((number) => (number > 1 ? next++ : -1));
  const places: number[] = [];
  const measurements: Measurement[] = [];
  for (let i = 0; i < count; i++) {
    const { state, column, pseudorangeM, rangeRateMps, sigmaM } = all[i] as Measurement;
    const now = columnOf[column] as number;
    if (now < 0 || !stays(i)) continue;
    places.push(i);
    measurements.push({ state, column: now, pseudorangeM, rangeRateMps, sigmaM });
  }
  return { places, measurements, columns: next, columnOf };
}

/** The one with the largest normalised residual of a solution's measurements; null without redundancy. */
function suspectOf(solver: Solver, { redundancy }: Solution, count: number): Suspect | null {
  if (redundancy < 1) return null;
  let worst = -1;
  let largest = -1;
  let share = 1;
  for (let i = 0; i < count; i++) {
    const own = solver.redundancyOf(i);
    if (own < LEAST_REDUNDANCY) continue;
    const square = solver.weightedSquare(i) / own;
    if (square <= largest) continue;
    worst = i;
    largest = square;
    share = own;
  }
  if (worst < 0) return null;
  const biasM = solver.residualM(worst) / share;
  const deviationM = largest > 0 ? Math.abs(biasM) / Math.sqrt(largest) : 0;
  return { index: worst, biasM, deviationM, missedProbability: missed(redundancy, largest) };
}

/** Of those taken out, the one that differs most from the solution without them; null: their systems are gone. */
function worstFaulty(
  solver: Solver,
  { all }: Problem,
  { places, columnOf }: Rest,
  faulty: readonly number[],
  solution: Solution,
  redundancy: number,
): Suspect | null {
  let worst: Suspect | null = null;
  let largest = -1;
  for (const index of faulty) {
    const measurement = all[index] as Measurement;
    const column = columnOf[measurement.column] as number;
    if (column < 0) continue;
    const { errorM, deviationM } = solver.compare(solution, places.length, measurement, column);
    const square = (errorM / deviationM) ** 2;
    if (square <= largest) continue;
    largest = square;
    worst = { index, biasM: errorM, deviationM, missedProbability: missed(redundancy, square) };
  }
  return worst;
}

function passes({ redundancy, chiSquare }: Solution): boolean {
  return redundancy === 0 || chiSquare <= limitOf(redundancy);
}

function missed(redundancy: number, noncentrality: number): number {
  return noncentralBelow(limitOf(redundancy), redundancy, noncentrality);
}

/** By redundancy. */
const LIMITS: number[] = [];

function limitOf(redundancy: number): number {
  for (let dof = LIMITS.length; dof <= redundancy; dof++) LIMITS.push(dof === 0 ? 0 : chiSquareLimit(FALSE_ALARM, dof));
  return LIMITS[redundancy] as number;
}
