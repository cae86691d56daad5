import imported, { type Builder } from 'junit-report-builder';
import type { CaseResult, Judged, TrialResult } from './result.js';

// The package's typings tell of a default within the default.
const builder = imported as unknown as Builder;

/**
 * A trial's result as JUnit XML: a suite a case, a test an expectation, and one for the case as such: what was wrong
 * around it. An expectation that nothing could test is a failure like any other; a case that could not be played is an
 * error.
 */
export function junitOf(result: TrialResult): string {
  const report = builder.newBuilder();
  for (const each of result.cases) {
    const suite = report
      .testSuite()
      .name(`${result.title}: ${each.id}`)
      .time(Number((each.tookMs / 1000).toFixed(3)));
    suite.property('scenario', each.scenario).property('module', each.module);
    suite.property('seed', `${each.seed}`).property('faults', each.faults).property('command', each.command);
    // No time stamp: that would be when it was played, and this is when it plays.
    if (each.startUtc !== '') suite.property('simulated-start', each.startUtc);
    const whole = suite.testCase().className(classNameOf(each)).name('is played, and the host lasts');
    if (each.verdict === 'broken') whole.error(text(each.problem ?? 'could not be played'));
    else if (hasFailedAsSuch(each)) whole.failure(text(each.problem ?? 'it failed'), 'host');
    else if (each.problem !== null) whole.standardOutput(text(each.problem));
    for (const judged of each.judged) {
      const test = suite.testCase().className(classNameOf(each)).name(judged.name);
      if (judged.verdict === 'passed') continue;
      test.failure(text(`${judged.verdict}: ${judged.reason}`), judged.kind);
      test.standardOutput(text(detailOf(each, judged)));
    }
  }
  const rest = result.casesAsked - result.cases.length;
  if (rest > 0) {
    const what = `${rest} of ${result.casesAsked} cases were not played to their end`;
    report.testSuite().name(`${result.title}: not played`).testCase().name('all cases are played').error(what);
  }
  return report.build();
}

/** It failed though all that was expected is met: by what was wrong around it. */
function hasFailedAsSuch({ verdict, judged }: CaseResult): boolean {
  return verdict === 'failed' && judged.every((each) => each.verdict === 'passed');
}

/** Slashes and points would be folders and packages to some readers. */
function classNameOf({ id }: CaseResult): string {
  return id.replaceAll('.', '_').replaceAll('/', '.');
}

function detailOf({ command }: CaseResult, { moments, surroundings }: Judged): string {
  const lines = moments.map(({ atMs, what }) => `${(atMs / 1000).toFixed(3)} s: ${what}`);
  for (const { moment, sentences, said } of surroundings) {
    lines.push('', `Before ${(moment.atMs / 1000).toFixed(3)} s the host had got:`);
    for (const { endMs, text: sentence, faults } of sentences) {
      lines.push(
        `  ${(endMs / 1000).toFixed(3)} s ${sentence}${faults.length === 0 ? '' : `  [${faults.join(', ')}]`}`,
      );
    }
    lines.push('and said then:', ...said.map((line) => `  ${(line.atMs / 1000).toFixed(3)} s ${line.text}`));
  }
  return [...lines, '', `To repeat it: ${command}`].join('\n');
}

/** XML has no place for control characters, nor for half a character. */
function text(raw: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for.
  return raw.replace(/[\ud800-\udfff]/gu, '\ufffd').replace(/[\0-\x08\v\f\x0e-\x1f\ufffe\uffff]/g, '\ufffd');
}
