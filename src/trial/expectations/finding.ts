import type { Finding, Moment } from '../expectation.js';

/** So many moments are kept. */
const MOST_MOMENTS = 10;

/** Nothing in the evidence could tell. @param why what was missing, a clause without a full stop */
export function untested(why: string): Finding {
  return { verdict: 'untested', reason: why, measured: null, tests: 0, moments: [] };
}

/** It is as expected. */
export function passed(reason: string, tests: number, measured: number | null = null): Finding {
  return { verdict: 'passed', reason, measured, tests, moments: [] };
}

/** It is not. @param moments worst first */
export function failed(
  reason: string,
  tests: number,
  moments: readonly Moment[],
  measured: number | null = null,
): Finding {
  return { verdict: 'failed', reason, measured, tests, moments: moments.slice(0, MOST_MOMENTS) };
}
