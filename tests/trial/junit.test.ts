import { DOMParser } from '@xmldom/xmldom';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { junitOf } from '../../src/trial/junit.js';
import { caseResult, judged, trialResult } from './results.js';

/** The XML, strictly read. */
function parse(xml: string) {
  const onError = (level: string, message: string) => {
    // It warns of U+FFFD, which is a character like any other.
    if (level !== 'warning') throw new Error(`${level}: ${message}`);
  };
  return new DOMParser({ onError }).parseFromString(xml, 'text/xml');
}

const all = (xml: string, name: string) => Array.from(parse(xml).getElementsByTagName(name));

const LATE = judged('first fix within 45 s', { verdict: 'failed', reason: 'a fix after 61 s' });
const SILENT = judged('position within 15 m', { verdict: 'untested', reason: 'no report came' });

describe('JUnit XML', () => {
  it('has a suite a case and a test an expectation; what nothing could test is a failure, what broke an error', () => {
    const xml = junitOf(
      trialResult([
        caseResult('a/m/seed-1/none'),
        caseResult('a/m/seed-2/none', { verdict: 'failed', judged: [judged('running'), LATE, SILENT] }),
        caseResult('a/m/seed-3/none', { verdict: 'broken', problem: 'no such program', judged: [] }),
      ]),
    );
    const counts = all(xml, 'testsuite').map((suite) =>
      ['tests', 'failures', 'errors'].map((name) => suite.getAttribute(name)),
    );
    expect(counts).toEqual([
      ['2', '0', '0'],
      ['4', '2', '0'],
      ['1', '0', '1'],
    ]);
    expect(all(xml, 'failure').map((failure) => failure.getAttribute('message'))).toEqual([
      'failed: a fix after 61 s',
      'untested: no report came',
    ]);
    expect(all(xml, 'error')[0]?.getAttribute('message')).toBe('no such program');
    expect(all(xml, 'testcase')[0]?.getAttribute('classname')).toBe('a.m.seed-1.none');
    expect(xml).toContain('lodestub trial t.yaml --case a/m/seed-2/none');
  });

  it('is red where the terminal is: a host that crashed though all that was expected is met', () => {
    const crashed = caseResult('a/m/seed-1/none', { verdict: 'failed', problem: 'the host ended with exit code 3' });
    const xml = junitOf(trialResult([crashed]));
    expect(all(xml, 'failure').map((failure) => failure.getAttribute('message'))).toEqual([crashed.problem]);
    const remarked = caseResult('a/m/seed-1/none', { problem: 'the host floods its stdout: it is slowed down' });
    expect(junitOf(trialResult([remarked]))).toContain(remarked.problem as string);
  });

  it('of a trial that was stopped has an error for what was not played', () => {
    const xml = junitOf(trialResult([caseResult('a/m/seed-1/none')], { casesAsked: 3 }));
    expect(all(xml, 'error').map((error) => error.getAttribute('message'))).toEqual([
      '2 of 3 cases were not played to their end',
    ]);
  });

  it('is well-formed whatever a host has written', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 60 }), fc.string({ maxLength: 20 }), (said, name) => {
        const moment = { atMs: 1000, what: said, report: 0 };
        const around = { moment, sentences: [], said: [{ atMs: 1000, from: 'stdout' as const, text: said }] };
        const failed = judged(`x${name}`, {
          verdict: 'failed',
          reason: said,
          moments: [moment],
          surroundings: [around],
        });
        const xml = junitOf(trialResult([caseResult('a/m/seed-1/none', { verdict: 'failed', judged: [failed] })]));
        expect(all(xml, 'failure')).toHaveLength(1);
      }),
    );
  });
});
