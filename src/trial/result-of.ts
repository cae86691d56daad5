import { drawingOf } from './drawing.js';
import type { Evidence } from './evidence.js';
import { judgeAll } from './expectations/judge.js';
import { matches } from './matrix.js';
import { commandFor } from './play-cases.js';
import { placeOf } from './read-trial.js';
import type { CaseResult } from './result.js';
import type { Trial, TrialCase } from './trial.js';

/** So many of the host's last lines are part of the result. */
const LAST_LINES = 40;

/** A case that was played, and all that is on record of it. */
interface Played {
  readonly trial: Trial;
  readonly one: TrialCase;
  readonly evidence: Evidence;
  readonly problem: string | null;
  /** By the machine's clock. */
  readonly tookMs: number;
}

/** Judges a case. What nothing could test counts as failed. */
export function resultOf({ trial, one, evidence, problem, tookMs }: Played): CaseResult {
  const { id, scenario, module, seed, faults } = one;
  const expectations = trial.expectations.filter(({ only }) => matches(placeOf(one), only));
  const judged = judgeAll(expectations, evidence);
  const [firstBad] = evidence.bad;
  return {
    ...{ id, scenario, module, seed, faults, problem, judged, tookMs },
    verdict: judged.every(({ verdict }) => verdict === 'passed') ? 'passed' : 'failed',
    reports: evidence.reports.length,
    badReports: evidence.bad.length,
    firstBad: firstBad === undefined ? null : { text: firstBad.text, why: firstBad.why },
    startUtc: new Date(evidence.startUtcMs).toISOString(),
    lengthMs: evidence.endMs,
    command: commandFor(trial, id),
    drawing: drawingOf(evidence),
    lines: evidence.lines.slice(-LAST_LINES),
  };
}
