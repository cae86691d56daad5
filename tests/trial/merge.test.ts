import { describe, expect, it } from 'vitest';
import { mergeParts } from '../../src/trial/merge.js';
import type { Trial, TrialCase } from '../../src/trial/trial.js';
import { caseResult, trialResult } from './results.js';

const IDS = ['a/m/seed-1/none', 'a/m/seed-2/none', 'a/m/seed-3/none'];
const TRIAL = { file: 't.yaml', digest: 'abc', cases: IDS.map((id) => ({ id }) as TrialCase) } as unknown as Trial;

const part = (file: string, ids: readonly string[], digest = 'abc') => ({
  file,
  result: trialResult(
    ids.map((id) => caseResult(id)),
    { digest },
  ),
});

describe('parts of a trial', () => {
  it('join in the trial’s own order, whatever order they come in', () => {
    const cases = mergeParts(TRIAL, [part('2.json', [IDS[1]!]), part('1.json', [IDS[2]!, IDS[0]!])]);
    expect(cases.map(({ id }) => id)).toEqual(IDS);
  });

  it.each([
    [
      'one is missing',
      [part('1.json', [IDS[0]!])],
      /trial\.part-missing: t\.yaml.*all 3 cases.*seed-2\/none and 1 more/s,
    ],
    [
      'one is there twice',
      [part('1.json', IDS), part('2.json', [IDS[1]!])],
      /trial\.part-twice: 2\.json.*1\.json too/s,
    ],
    ['one is of another trial', [part('1.json', IDS, 'xyz')], /trial\.other-part: 1\.json.*abc.*xyz/s],
    ['there is none', [], /trial\.part-missing/],
  ])('%s: that is said', (_, parts, message) => {
    expect(() => mergeParts(TRIAL, parts)).toThrow(message);
  });
});
