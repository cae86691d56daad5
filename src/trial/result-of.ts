import { axisValuesOf } from './axis-values.js';
import { caseCommand } from './case-command.js';
import { drawingOf } from './drawing.js';
import type { Evidence } from './evidence.js';
import { judgeAll } from './expectations/judge.js';
import { matches } from './matrix.js';
import type { CaseResult, Drawing, Judged } from './result.js';
import type { TrialCase, TrialPlan } from './trial.js';

/** So many of the host's last lines are part of the result. */
const LAST_LINES = 40;

/** A case that was played, and all that is on record of it. */
interface Played {
  readonly plan: TrialPlan;
  readonly one: TrialCase;
  readonly evidence: Evidence;
  readonly problem: string | null;
  /** Lines that are no reports, and the first of them. */
  readonly others: { readonly count: number; readonly first: string | null };
  /** By the machine's clock. */
  readonly tookMs: number;
}

/** Judges a case. What nothing could test counts as failed, and so does a host that ended badly by itself. */
export function resultOf({ plan, one, evidence, problem, others, tookMs }: Played): CaseResult {
  const { id, scenario, module, seed, faults } = one;
  const expectations = plan.expectations.filter(({ only }) => matches(axisValuesOf(one), only));
  const judged = judgeAll(expectations, evidence);
  const [firstBad] = evidence.bad;
  const isMet = judged.every(({ verdict }) => verdict === 'passed') && !hasCrashed(plan, evidence, judged);
  return {
    ...{ id, scenario, module, seed, faults, problem, judged, tookMs },
    verdict: isMet ? 'passed' : 'failed',
    reports: evidence.reports.length,
    badReports: evidence.bad.length,
    otherLines: others.count,
    firstOther: others.first,
    firstBad: firstBad === undefined ? null : { text: firstBad.text, why: firstBad.why },
    startUtc: new Date(evidence.startUtcMs).toISOString(),
    lengthMs: evidence.endMs,
    command: caseCommand(plan.file, id),
    drawing: rounded(drawingOf(evidence)),
    lines: evidence.lines.slice(-LAST_LINES),
  };
}

/** Expectations that say themselves whether the host may end. */
const OF_LIFE: readonly string[] = ['running', 'restarts'];

/** The host ended with an error of its own, and neither the trial nor an expectation says what that is worth. */
function hasCrashed({ host }: TrialPlan, { life }: Evidence, judged: readonly Judged[]): boolean {
  if (host === 'already-running' || host.restart || judged.some(({ kind }) => OF_LIFE.includes(kind))) return false;
  return life.some(({ event, isByUs, code }) => event === 'ended' && !isByUs && code !== 0);
}

/** With as many digits as can be drawn: a hundredth of a metre, a millisecond. */
function rounded({ truth, module, reports, faults }: Drawing): Drawing {
  const to = (value: number, digits: number) => Number(value.toFixed(digits));
  const place = <Point extends Drawing['truth'][number]>(point: Point): Point => ({
    ...point,
    atMs: to(point.atMs, 0),
    latitudeDeg: to(point.latitudeDeg, 7),
    longitudeDeg: to(point.longitudeDeg, 7),
  });
  const orNull = (errorM: number | null) => (errorM === null ? null : to(errorM, 3));
  return {
    truth: truth.map(place),
    module: module.map(place),
    reports: reports.map((report) => ({
      ...place(report),
      truthErrorM: orNull(report.truthErrorM),
      moduleErrorM: orNull(report.moduleErrorM),
    })),
    faults,
  };
}
