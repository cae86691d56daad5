import type { CaseResult, Judged, TrialResult } from '../../src/trial/result.js';

/** A case's result that is made up. */
export function caseResult(id: string, changes: Partial<CaseResult> = {}): CaseResult {
  const [scenario = '', module = '', seed = 'seed-1', faults = 'none'] = id.split('/');
  return {
    id,
    scenario,
    module,
    seed: Number(seed.slice(5)),
    faults,
    verdict: 'passed',
    problem: null,
    judged: [judged('first fix within 45 s')],
    reports: 12,
    badReports: 0,
    otherLines: 0,
    firstOther: null,
    firstBad: null,
    startUtc: '2022-02-18T09:30:00.000Z',
    lengthMs: 60_000,
    tookMs: 61_234,
    command: `lodestub trial t.yaml --case ${id}`,
    drawing: { truth: [], module: [], reports: [], faults: [] },
    lines: [],
    ...changes,
  };
}

export function judged(name: string, changes: Partial<Judged> = {}): Judged {
  return {
    name,
    kind: 'first-fix',
    verdict: 'passed',
    reason: 'a fix after 2.1 s',
    measured: 2.1,
    tests: 1,
    moments: [],
    surroundings: [],
    ...changes,
  };
}

export function trialResult(cases: readonly CaseResult[], changes: Partial<TrialResult> = {}): TrialResult {
  return {
    lodestubTrial: 1,
    version: '0.0.0',
    title: 'A trial',
    file: 't.yaml',
    digest: 'abc',
    casesInAll: cases.length,
    shard: null,
    casesAsked: cases.length,
    cases,
    ...changes,
  };
}
