import { caseCommand } from './case-command.js';
import type { CaseResult } from './result.js';
import type { TrialCase } from './trial.js';

/**
 * A case that could not be played.
 * @param file the trial's
 * @param problem why
 * @param tookMs by the machine's clock
 */
export function brokenCase(file: string, one: TrialCase, problem: string, tookMs: number): CaseResult {
  const { id, scenario, module, seed, faults } = one;
  return {
    ...{ id, scenario, module, seed, faults, problem, tookMs },
    verdict: 'broken',
    judged: [],
    reports: 0,
    badReports: 0,
    otherLines: 0,
    firstOther: null,
    firstBad: null,
    startUtc: '',
    lengthMs: 0,
    command: caseCommand(file, id),
    drawing: { truth: [], module: [], reports: [], faults: [] },
    lines: [],
  };
}
