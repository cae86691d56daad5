import { chiSquareLimit, noncentralBelow } from './chi-square.js';
import type { Solution } from './solution.js';
import type { Solver } from './solver.js';

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

/** Probability that an epoch without any error fails the check: less than once in a day of 1 Hz. */
const FALSE_ALARM = 1e-5;
/** Residuals of measurements that the others tell less of than this are rounding. */
export const LEAST_REDUNDANCY = 1e-6;

/** The one with the largest normalised residual of a solution's measurements; null without redundancy. */
export function suspectOf(solver: Solver, { redundancy }: Solution, count: number): Suspect | null {
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

/** Whether chance gives the sum of squared residuals more often than once in 100,000 epochs. */
export function passes({ redundancy, chiSquare }: Solution): boolean {
  return redundancy === 0 || chiSquare <= limitOf(redundancy);
}

/** Probability that the check passes with an error of this non-centrality in it. */
export function missed(redundancy: number, noncentrality: number): number {
  return noncentralBelow(limitOf(redundancy), redundancy, noncentrality);
}

/** By redundancy. */
const LIMITS: number[] = [];

function limitOf(redundancy: number): number {
  for (let dof = LIMITS.length; dof <= redundancy; dof++) LIMITS.push(dof === 0 ? 0 : chiSquareLimit(FALSE_ALARM, dof));
  return LIMITS[redundancy] as number;
}
