import { describe, expect, it } from 'vitest';
import { CAUTION } from '../../src/cli/caution.js';
import type { CaseResult } from '../../src/trial/result.js';
import { trialPage } from '../../src/trial/trial-page.js';
import {
  elements,
  HOSTILE,
  noise,
  outsideReferences,
  parsePage,
  withNumber,
  withText,
  wordsOf,
} from '../report/document.js';
import { exampleCase, exampleTrial } from '../report/example-trial.js';

/** Fields whose words are chosen from a list. */
const KEPT = ['verdict', 'from'];
/** What a case of 2,000 points a layer may cost on the page of a large trial, and of a small one. */
const LARGE_CASE_BYTES = 60_000;
const SMALL_CASE_BYTES = 120_000;

const passed = exampleCase(1, false);
const failed = exampleCase(2, true);
const broken: CaseResult = {
  ...exampleCase(3, false),
  verdict: 'broken',
  problem: 'the host could not be started: no such file',
  judged: [],
  reports: 0,
  lines: [],
  drawing: { truth: [], module: [], reports: [], faults: [] },
};
const html = trialPage(exampleTrial([passed, failed, broken]), CAUTION);
const words = wordsOf(html);

describe('the page of a trial', () => {
  it('is a whole document with title, caution, counts, version, digest and part, and fetches nothing', () => {
    expect(html).toContain('<title>failed: Does the harbour app cope?</title>');
    expect(html).toContain(CAUTION);
    expect(words).toContain('1 of 3 cases passed, 1 failed, 1 could not be played.');
    for (const fact of ['Lodestub 0.4.0', 'digest 6c1f0a4be2d97c0f', 'part all of it']) expect(words).toContain(fact);
    expect(outsideReferences(html)).toEqual([]);
    expect(parsePage(html).problems).toEqual([]);
    expect(noise(html)).toEqual([]);
  });

  it('says when it is a part of the trial, and how much is missing', () => {
    const part = trialPage({ ...exampleTrial([passed]), casesInAll: 8, casesAsked: 1, shard: '1/8' }, CAUTION);
    expect(wordsOf(part)).toContain('This is part 1/8 of the trial: 7 of 8 cases are not in it.');
    expect(part).toContain('<title>passed: ');
  });

  it('of no cases has not passed', () => {
    const none = trialPage({ ...exampleTrial([]), casesInAll: 4, casesAsked: 0, shard: '8/8' }, CAUTION);
    expect(none).toContain('<title>untested: ');
    expect(wordsOf(none)).toContain('untested 0 of 0 cases passed');
    expect(wordsOf(none)).toContain('No case was played.');
  });

  it('that was stopped has not passed, whatever passed before, and says how much was not played', () => {
    const stopped = { ...exampleTrial([passed]), casesInAll: 8, casesAsked: 8 };
    const page = trialPage(stopped, CAUTION);
    expect(page).toContain('<title>untested: ');
    expect(wordsOf(page)).toContain('untested 1 of 1 cases passed');
    expect(wordsOf(page)).toContain('7 of 8 cases that were asked for were not played to their end.');
    expect(wordsOf(page)).not.toContain('of the trial:');
    const failedBefore = trialPage({ ...stopped, cases: [passed, failed] }, CAUTION);
    expect(failedBefore).toContain('<title>failed: ');
  });

  it('shows what went wrong first and open, and what passed closed', () => {
    const { document } = parsePage(html);
    const cases = elements(document, 'details');
    expect(cases.map((element) => element.getAttribute('open'))).toEqual(['open', 'open', null]);
    const names = cases.map((element) => element.getElementsByTagName('span').item(1)?.textContent);
    expect(names).toEqual([broken.id, failed.id, passed.id]);
  });

  it('links every row of its table to the case', () => {
    const { document } = parsePage(html);
    const ids = elements(document, 'details').map((element) => element.getAttribute('id'));
    const links = elements(document, 'a').map((element) => element.getAttribute('href')?.slice(1));
    expect(links).toEqual(ids);
    expect(new Set(ids).size).toBe(3);
  });

  it('tells of a failed case the command, each expectation, the sentences around and what the host said next', () => {
    expect(words).toContain(failed.command);
    for (const { name, reason } of failed.judged) {
      expect(words).toContain(name);
      expect(words).toContain(reason);
    }
    expect(words).toContain(
      '$GPRMC,093041.00,A,6325.8301,N,01023.7062,E,9.0,043.1,180222,4.1,E,A,V*00 ← 1.1 bad-checksum',
    );
    expect(words).toContain('✕ took a position from a sentence whose checksum was wrong');
    expect(words).toContain('host, stdout: {"lat":63.43050,"lon":10.39510,"fix":true}');
    expect(words).toContain('Also: at 55.100 s, took another one.');
    expect(words).toContain('expected a JSON object, the line ends in the middle');
    expect(words).toContain('stderr: warning: short read');
  });

  it('says of a broken case why, and draws nothing of it', () => {
    expect(words).toContain('the host could not be started: no such file');
    const alone = trialPage(exampleTrial([broken]), CAUTION);
    expect(alone).not.toContain('<figure');
    expect(wordsOf(alone)).toContain('It wrote nothing.');
  });

  it('draws the track and the errors with each fault by name', () => {
    const alone = trialPage(exampleTrial([failed]), CAUTION);
    expect(alone.match(/<figcaption>/g)).toHaveLength(2);
    for (const label of ['1.1 bad-checksum', '2.1 tunnel', '3.1 jump']) {
      expect(alone.split(`>${label}</text>`).length - 1).toBe(2);
    }
  });

  it('leaves out of the table what is the same in all cases, and tells it once', () => {
    const heads = elements(parsePage(html).document, 'th').map((element) => element.textContent);
    expect(heads.slice(0, 3)).toEqual(['verdict', 'seed', 'faults']);
    expect(words).toContain('scenario harbour');
  });

  it.each(HOSTILE)('takes what a host writes for text: %#', (text) => {
    const hostile = trialPage(withText(exampleTrial([failed, broken]), text, KEPT), text);
    const { document, problems } = parsePage(hostile);
    expect(problems).toEqual([]);
    expect(elements(document, 'script').length + elements(document, 'img').length).toBe(0);
  });

  it.each([0, -1, 1e9, Number.NaN, Number.POSITIVE_INFINITY])('prints no noise where every number is %d', (number) => {
    const wild = { ...withNumber(failed, number), seed: 2 };
    expect(noise(trialPage(exampleTrial([wild]), CAUTION))).toEqual([]);
  });

  it('of many cases with 2,000 points a layer stays small', () => {
    const case2000 = exampleCase(4, true, 2000);
    const size = (cases: number) => {
      const many = Array.from(
        { length: cases },
        (_, i) => ({ ...case2000, verdict: i < 9 ? 'failed' : 'passed' }) as const,
      );
      return trialPage(exampleTrial(many), CAUTION).length / cases;
    };
    expect(size(3)).toBeLessThan(SMALL_CASE_BYTES);
    expect(size(45)).toBeLessThan(LARGE_CASE_BYTES);
  });
});
