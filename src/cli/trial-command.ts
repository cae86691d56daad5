import { availableParallelism } from 'node:os';
import type { SingleBar } from 'cli-progress';
import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import { VERSION } from '../base/version.js';
import { counted } from '../base/words.js';
import { checkKept } from '../trial/case-files.js';
import { checkHost } from '../trial/host/check-host.js';
import { type Shard, shardOf } from '../trial/matrix.js';
import { mergeParts } from '../trial/merge.js';
import { atOnce, playCases } from '../trial/play-cases.js';
import { readPart } from '../trial/read-result.js';
import { loadTrial } from '../trial/read-trial.js';
import type { CaseResult, TrialResult } from '../trial/result.js';
import type { Trial, TrialCase } from '../trial/trial.js';
import { CAUTION } from './caution.js';
import { coloursFor } from './colours.js';
import { checkResultFiles, type ResultKind, resultFiles, writeResultFiles } from './result-file.js';
import { Stop } from './session.js';

interface TrialOptions {
  readonly shard?: Shard;
  readonly case?: readonly string[];
  readonly jobs?: number;
  readonly junit?: string;
  readonly json?: string;
  readonly html?: string;
  readonly keep?: string;
  readonly merge?: readonly string[];
  readonly list?: boolean;
  readonly force?: boolean;
}

/** `lodestub trial`. @returns the exit code @throws LodestubError */
export async function trialCommand(file: string, options: TrialOptions): Promise<number> {
  checkOptions(options);
  const trial = await loadTrial(file);
  const cases = casesOf(trial, options);
  if (options.list === true) {
    process.stdout.write(cases.map(({ id }) => `${id}\n`).join(''));
    return 0;
  }
  const files = resultFiles(options);
  const force = options.force === true;
  checkResultFiles(files, force);
  if (options.merge === undefined) {
    checkHost(trial.host, trial.baseFolder);
    for (const { id } of cases) checkKept(options.keep ?? null, id);
  }
  process.stderr.write(`${CAUTION}\n`);
  const results = options.merge === undefined ? await play(trial, cases, options) : await merged(trial, options.merge);
  const { shard } = options;
  const whole: TrialResult = {
    lodestubTrial: 1,
    version: VERSION,
    title: trial.title,
    file: trial.file,
    digest: trial.digest,
    casesInAll: trial.cases.length,
    shard: shard === undefined ? null : `${shard.part}/${shard.of}`,
    casesAsked: cases.length,
    cases: results,
  };
  process.stdout.write(summaryOf(results, cases.length));
  const isWritten = await writeResultFiles(files, force, (kind) => textFor(kind, whole));
  const isPassed = results.length === cases.length && results.every(({ verdict }) => verdict === 'passed');
  return isPassed && isWritten ? 0 : 1;
}

/** @throws LodestubError `command.conflict` */
function checkOptions({ merge, shard, case: wanted, list, keep }: TrialOptions): void {
  const others = { '--shard': shard, '--case': wanted, '--list': list, '--keep': keep };
  const other = Object.entries(others).find(([, value]) => value !== undefined)?.[0] ?? null;
  if (merge === undefined || other === null) return;
  throw new LodestubError({
    code: 'command.conflict',
    path: '--merge',
    expected: 'the results of all shards, and nothing to play',
    received: `${other} too`,
  });
}

/** @throws LodestubError `trial.unknown-case` */
function casesOf(trial: Trial, { shard, case: wanted }: TrialOptions): TrialCase[] {
  if (wanted === undefined) return shardOf(trial.cases, shard ?? null);
  const ids = trial.cases.map(({ id }) => id);
  const odd = wanted.find((id) => !ids.includes(id));
  if (odd !== undefined) {
    throw new LodestubError({
      code: 'trial.unknown-case',
      path: '--case',
      expected: 'the id of one of the trial’s cases, as --list prints them',
      received: odd,
      hint: suggest(odd, ids),
    });
  }
  return shardOf(
    trial.cases.filter(({ id }) => wanted.includes(id)),
    shard ?? null,
  );
}

async function merged(trial: Trial, files: readonly string[]): Promise<CaseResult[]> {
  const results = mergeParts(trial, await Promise.all(files.map(readPart)));
  for (const each of results) process.stdout.write(rowOf(each));
  return results;
}

async function play(trial: Trial, cases: readonly TrialCase[], options: TrialOptions): Promise<CaseResult[]> {
  const jobs = options.jobs ?? availableParallelism();
  const stop = new Stop();
  const bar = await progressBar(cases.length);
  process.stdout.write(
    `${trial.title}: ${counted(cases.length, 'case')}, ${atOnce(trial, jobs, cases.length)} at once\n`,
  );
  bar?.show(0);
  const results = await playCases(trial, cases, {
    jobs,
    keepFolder: options.keep ?? null,
    stop,
    progress: (share) => bar?.show(share),
    over: (result) => {
      // Rows would be written over the bar.
      bar?.hide();
      process.stdout.write(rowOf(result));
      bar?.count();
    },
  });
  bar?.hide();
  stop.release();
  return results;
}

/** How far the cases have come; null where nobody looks. */
async function progressBar(cases: number) {
  if (!process.stderr.isTTY) return null;
  const { default: progress } = await import('cli-progress');
  const format = '{bar} {percentage} %  {over} of {cases} over';
  let bar: SingleBar | null = null;
  let over = 0;
  let now = 0;
  const show = (share: number) => {
    now = Math.round(share * 1000);
    if (bar === null) {
      bar = new progress.SingleBar({ format, stream: process.stderr, clearOnComplete: true, hideCursor: true });
      bar.start(1000, now, { over, cases });
    } else bar.update(now, { over, cases });
  };
  const hide = () => {
    bar?.stop();
    bar = null;
  };
  const countOver = () => {
    over++;
    show(now / 1000);
  };
  return { show, hide, count: countOver };
}

const { green, red, magenta } = coloursFor(process.stdout);
const WORDS = { passed: green('passed'), failed: red('FAILED'), broken: magenta('BROKEN') };

/** A case in the table: its verdict, and why. */
function rowOf(result: CaseResult): string {
  const { id, verdict, judged, problem, tookMs, reports, badReports, firstBad, otherLines, firstOther } = result;
  const bad = badReports === 0 ? '' : `, ${badReports} not readable`;
  const lines = [`${WORDS[verdict]}  ${id}  ${(tookMs / 1000).toFixed(1)} s, ${counted(reports, 'report')}${bad}`];
  if (problem !== null) lines.push(`        ${problem}`);
  if (firstBad !== null) {
    const { text, why } = firstBad;
    lines.push(`        not readable, first of them: ${JSON.stringify(text.slice(0, 60))}: ${why}`);
  }
  // Where all is well a host's log is nobody's business; without a report `problem` tells of it.
  if (verdict === 'failed' && firstOther !== null && reports > 0) {
    const first = JSON.stringify(firstOther.slice(0, 60));
    lines.push(`        ${counted(otherLines, 'line')} of other things among the reports, first of them: ${first}`);
  }
  for (const each of judged) {
    if (each.verdict === 'passed') continue;
    lines.push(`        ${each.name}: ${each.verdict === 'untested' ? 'not tested: ' : ''}${each.reason}`);
  }
  return `${lines.join('\n')}\n`;
}

/** How many passed, and how to repeat what did not. */
function summaryOf(results: readonly CaseResult[], asked: number): string {
  const of = (verdict: CaseResult['verdict']) => results.filter((each) => each.verdict === verdict).length;
  const rest = asked - results.length;
  const lines = [
    `${counted(asked, 'case')}: ${of('passed')} passed, ${of('failed')} failed, ${of('broken')} broken${
      rest === 0 ? '' : `, ${rest} not played to their end`
    }`,
  ];
  const again = results.filter(({ verdict }) => verdict !== 'passed');
  if (again.length > 0) lines.push('To repeat:', ...again.map(({ command }) => `  ${command}`));
  return `${lines.join('\n')}\n`;
}

async function textFor(kind: ResultKind, result: TrialResult): Promise<Iterable<string>> {
  if (kind === 'json') return jsonOf(result);
  if (kind === 'junit') return [(await import('../trial/junit.js')).junitOf(result)];
  return [(await import('../trial/trial-page.js')).trialPage(result, CAUTION)];
}

/** A case at a time: thousands of them are more than one text can hold. */
function* jsonOf({ cases, ...head }: TrialResult): Generator<string> {
  yield `${JSON.stringify(head).slice(0, -1)},"cases":[`;
  for (const [index, each] of cases.entries()) yield `${index === 0 ? '' : ','}\n${JSON.stringify(each)}`;
  yield ']}';
}
