import type { Ecef } from '../../base/frames.js';
import { type CheckedSolution, exclude, NOTHING, type Problem, solveWithout } from './exclusion.js';
import type { Measurement } from './measurement.js';
import type { Solver } from './solver.js';
import { passes, suspectOf } from './suspect.js';

const NONE: readonly number[] = [];

/**
 * Solves, and checks the weighted sum of squared residuals against what chance gives but once in 100,000 epochs. If it
 * is more, the measurement with the largest normalised residual is taken out, or the two that explain most of the sum,
 * and the rest solved anew, as long as there is redundancy to check it by. What cannot be reconciled so is not
 * reported: the receiver has no fix then. Ranges that no place on the Earth has are left out before.
 * Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968), tests of the overall model and w;
 * receiver autonomous integrity monitoring as common practice has it.
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
  const problem: Problem = { all, count, columns, heldHeightM };
  const impossible = impossibleOf(problem);
  if (impossible.length > 0) return solveWithout(solver, problem, impossible, guess);
  const solution =
    guess === null && heldHeightM !== null
      ? solver.solveFromNothing(all, count, columns, heldHeightM)
      : solver.solve(all, count, columns, guess, heldHeightM);
  if (solution === null) return NOTHING;
  const suspect = suspectOf(solver, solution, count);
  if (passes(solution)) return { solution, residualsM: solver.residualsM(count), excluded: NONE, suspect };
  return suspect === null ? NOTHING : exclude(solver, problem, solution.position, suspect);
}

/**
 * From the Earth's surface a satellite that is up is nearer than the Earth's centre, by 400 to 6,400 km: of one
 * system, what pseudoranges exceed the satellites' radii by lies within this, m.
 */
const WIDEST_M = 7e6;
/** Beyond this nothing measures a range any more, m: no solution then. */
const MOST_M = 1e15;

/**
 * Places of the measurements that no place on the Earth has together with the others of their system: those farther
 * from the median; of two that contradict each other, both. With them in it the iteration leads into space.
 */
function impossibleOf({ all, count, columns }: Problem): readonly number[] {
  let found: readonly number[] = NONE;
  for (let column = 0; column < columns; column++) {
    let least = Infinity;
    let most = -Infinity;
    for (let i = 0; i < count; i++) {
      const measurement = all[i] as Measurement;
      if (measurement.column !== column) continue;
      const beyondM = beyond(measurement);
      if (beyondM < least) least = beyondM;
      if (beyondM > most) most = beyondM;
    }
    if (most - least > WIDEST_M && most - least < MOST_M) found = [...found, ...farFromMedian(all, count, column)];
  }
  return found;
}

/** Pseudorange less the satellite's distance from the Earth's centre, m. */
function beyond({ pseudorangeM, state: { xM, yM, zM } }: Measurement): number {
  return pseudorangeM - Math.sqrt(xM * xM + yM * yM + zM * zM);
}

function farFromMedian(all: readonly Measurement[], count: number, column: number): number[] {
  const own: { readonly place: number; readonly beyondM: number }[] = [];
  for (let place = 0; place < count; place++) {
    const measurement = all[place] as Measurement;
    if (measurement.column === column) own.push({ place, beyondM: beyond(measurement) });
  }
  const sorted = own.map(({ beyondM }) => beyondM).sort((a, b) => a - b);
  const half = (sorted.length - 1) / 2;
  const medianM = ((sorted[Math.floor(half)] as number) + (sorted[Math.ceil(half)] as number)) / 2;
  const limitM = own.length > 2 ? WIDEST_M : WIDEST_M / 2;
  return own.filter(({ beyondM }) => !(Math.abs(beyondM - medianM) <= limitM)).map(({ place }) => place);
}
