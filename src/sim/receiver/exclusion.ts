import type { Ecef } from '../../base/frames.js';
import type { Measurement } from './measurement.js';
import type { Solution } from './solution.js';
import type { Solver } from './solver.js';
import { LEAST_REDUNDANCY, missed, passes, type Suspect, suspectOf } from './suspect.js';

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

/** So many measurements with errors can be taken out: more of them agree with each other by chance. */
const MOST_FAULTY = 5;

/** No solution that the measurements agree on. */
export const NOTHING: CheckedSolution = { solution: null, residualsM: [], excluded: [], suspect: null };

/** What is to be solved; arguments as of {@link Solver.solve}. */
export interface Problem {
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
 * @param from where the solution of all measurements is
 * @param suspect of that solution
 */
export function exclude(solver: Solver, problem: Problem, from: Ecef, suspect: Suspect): CheckedSolution {
  return search(solver, problem, [], from, [suspect.index], suspect);
}

/**
 * Leaves out what cannot be right, and checks the rest.
 * @param impossible places of those, one or more
 * @param guess where to start from; null: no idea
 */
export function solveWithout(
  solver: Solver,
  problem: Problem,
  impossible: readonly number[],
  guess: Ecef | null,
): CheckedSolution {
  const rest = without(problem, impossible);
  const found = solveRest(solver, rest, guess, problem.heldHeightM);
  if (found === null) return NOTHING;
  const suspect = suspectOf(solver, found, rest.places.length);
  if (suspect === null) return NOTHING;
  const index = rest.places[suspect.index] as number;
  const own = { ...suspect, index };
  if (passes(found)) return report(solver, problem, impossible, found.position, own);
  return search(solver, problem, impossible, found.position, [index], own);
}

/**
 * @param known places that are out already
 * @param worst places to take out first
 * @param otherwise suspect where nothing is known of those taken out
 */
function search(
  solver: Solver,
  problem: Problem,
  known: readonly number[],
  begin: Ecef,
  first: readonly number[],
  otherwise: Suspect,
): CheckedSolution {
  const { heldHeightM } = problem;
  let from = begin;
  let faulty = known;
  let rest = without(problem, faulty);
  let worst = first;
  for (;;) {
    if (worst.length === 0 || faulty.length - known.length + worst.length > MOST_FAULTY) return NOTHING;
    const more = [...faulty, ...worst];
    const fewer = without(problem, more);
    const found = solveRest(solver, fewer, from, heldHeightM);
    if (found === null) return NOTHING;
    if (worst.length > 1 || passes(found)) {
      faulty = more;
      rest = fewer;
      from = found.position;
      if (passes(found)) break;
      const next = suspectOf(solver, found, rest.places.length);
      worst = next === null ? [] : [rest.places[next.index] as number];
    } else {
      // Two errors can make a third one look the worst: back, and look for the two at once.
      if (solveRest(solver, rest, from, heldHeightM) === null) return NOTHING;
      worst = worstPair(solver, rest.places.length).map((index) => rest.places[index] as number);
    }
  }
  return report(solver, problem, readmit(solver, problem, faulty, from), from, otherwise);
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
  otherwise: Suspect,
): CheckedSolution {
  const { count, columns, heldHeightM } = problem;
  const rest = without(problem, faulty);
  const solution = solveRest(solver, rest, from, heldHeightM);
  if (solution === null) return NOTHING;
  const used = new Set(rest.places);
  const excluded: number[] = [];
  for (let i = 0; i < count; i++) if (!used.has(i)) excluded.push(i);
  const residualsM = solver.residualsM(rest.places.length);
  const redundancy = count - columns - (heldHeightM === null ? 3 : 2);
  const suspect = worstFaulty(solver, problem, rest, faulty, solution, redundancy) ?? otherwise;
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
function solveRest(solver: Solver, rest: Rest, from: Ecef | null, heldHeightM: number | null): Solution | null {
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
    const { column } = all[i] as Measurement;
    const now = columnOf[column] as number;
    if (now < 0 || !stays(i)) continue;
    places.push(i);
    measurements.push({ ...(all[i] as Measurement), column: now });
  }
  return { places, measurements, columns: next, columnOf };
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
