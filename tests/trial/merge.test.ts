import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { mergeParts } from '../../src/trial/merge.js';
import { readPart } from '../../src/trial/read-result.js';
import type { Trial, TrialCase } from '../../src/trial/trial.js';
import { caseResult, judged, trialResult } from './results.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-parts-'));
afterAll(() => rmSync(folder, { recursive: true }));

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

  it('is read as it was written, and what lacks anything of it is no part', async () => {
    const one = judged('running', { verdict: 'failed', moments: [{ atMs: 1, what: 'it ended', report: null }] });
    const whole = trialResult([caseResult(IDS[0]!, { judged: [one] })]);
    const file = join(folder, 'part.json');
    writeFileSync(file, JSON.stringify(whole));
    expect((await readPart(file)).result).toEqual(whole);
    for (const path of [
      'cases/0/judged/0/moments',
      'cases/0/judged/0/surroundings',
      'cases/0/drawing/faults',
      'title',
    ]) {
      const without = structuredClone(whole);
      const keys = path.split('/');
      const holder = keys.slice(0, -1).reduce((value: object, key) => value[key as never], without);
      delete holder[keys.at(-1) as never];
      writeFileSync(file, JSON.stringify(without));
      await expect(readPart(file)).rejects.toThrow(`trial.part: ${file}`);
      await expect(readPart(file)).rejects.toThrow(keys.join('.'));
    }
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
