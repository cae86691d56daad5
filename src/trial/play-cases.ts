import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { StopSignal } from '../run/play.js';
import { brokenCase } from './broken-case.js';
import { endGroup } from './end-group.js';
import { placeholdersIn } from './host/placeholders.js';
import type { CaseResult } from './result.js';
import type { Trial, TrialCase } from './trial.js';

/** The command line, which plays a case in a process of its own; as far from `src/trial` as from `dist/bundle`. */
const PROGRAM = fileURLToPath(new URL('../../bin/lodestub.js', import.meta.url));

/** How much of what a broken case's process says is kept, characters. */
const LONGEST_SAID = 2000;
/** How long a process that was told to stop has for its files, once its host has ended, ms. */
const STOP_WITHIN_MS = 10_000;

/** What a case's process is told. */
export interface CaseOrder {
  readonly file: string;
  /** Of the trial's text, which must still be the same. */
  readonly textDigest: string;
  readonly one: TrialCase;
  /** Journal, stream and output of the host go there; null: nowhere. */
  readonly keepFolder: string | null;
}

/** What a case's process tells. */
export type CaseNews =
  | { readonly news: 'reached'; readonly atMs: number; readonly ofMs: number }
  /** The host's processes are in this group. */
  | { readonly news: 'host'; readonly group: number }
  | { readonly news: 'over'; readonly result: CaseResult };

export interface PlayOptions {
  /** How many are played at once. */
  readonly jobs: number;
  readonly keepFolder: string | null;
  /** Told to stop: cases under way are given up; they end their hosts, or (aborted) are ended at once. */
  readonly stop: StopSignal;
  /** Called as cases go on: how much of them all has been played, 0 to 1. */
  readonly progress: (share: number) => void;
  readonly over: (result: CaseResult) => void;
}

/**
 * Plays cases, each in a process of its own, so many at once: none holds up or takes along another one.
 * @returns their results in the cases' order; fewer where it was stopped
 */
export async function playCases(
  trial: Trial,
  cases: readonly TrialCase[],
  options: PlayOptions,
): Promise<CaseResult[]> {
  const results = new Map<string, CaseResult>();
  const shares = new Map<string, number>();
  const waiting = [...cases];
  const tell = () => {
    let sum = results.size;
    for (const share of shares.values()) sum += share;
    options.progress(cases.length === 0 ? 1 : sum / cases.length);
  };
  const worker = async () => {
    for (let next = waiting.shift(); next !== undefined && !options.stop.isStopped; next = waiting.shift()) {
      const { id } = next;
      const result = await playOne(trial, next, options, (share) => {
        shares.set(id, share);
        tell();
      });
      shares.delete(id);
      if (result === null) return;
      results.set(id, result);
      options.over(result);
      tell();
    }
  };
  const jobs = atOnce(trial, options.jobs, cases.length);
  await Promise.all(Array.from({ length: jobs }, worker));
  return cases.flatMap(({ id }) => results.get(id) ?? []);
}

/** How many of so many cases are played at once. @param jobs how many at most */
export function atOnce(trial: Trial, jobs: number, cases: number): number {
  return isShared(trial) ? 1 : Math.min(jobs, cases);
}

/** Cases have something in common that only one of them can have at a time: the host, a file, a network port. */
function isShared({ host, reports }: Trial): boolean {
  const { from } = reports;
  if (host === 'already-running') return true;
  if (from.kind === 'file') return !placeholdersIn(from.path).some((name) => name === 'folder' || name === 'case');
  return (from.kind === 'tcp' || from.kind === 'http') && from.port !== 0;
}

/** @returns null: it was stopped */
async function playOne(
  trial: Trial,
  one: TrialCase,
  { keepFolder, stop }: PlayOptions,
  reached: (share: number) => void,
): Promise<CaseResult | null> {
  const begunMs = performance.now();
  const child = fork(PROGRAM, ['trial-case'], { stdio: ['ignore', 'ignore', 'pipe', 'ipc'], execArgv: [] });
  let result: CaseResult | null = null;
  let group: number | null = null;
  let said = '';
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said = (said + text).slice(-LONGEST_SAID);
  });
  child.on('message', (news: CaseNews) => {
    if (news.news === 'over') result = news.result;
    else if (news.news === 'host') group = news.group;
    else reached(Math.min(1, news.atMs / Math.max(1, news.ofMs)));
  });
  const { file, textDigest, host } = trial;
  const order: CaseOrder = { file, textDigest, one, keepFolder };
  // One that has ended already says so by its exit.
  child.send(order, () => {});
  const hostMs = host === 'already-running' ? 0 : host.stopWithinS * 1000;
  const how = await ended(child, stop, hostMs + STOP_WITHIN_MS);
  if (result !== null) return result;
  // One that was killed could not end its host.
  endGroup(group);
  if (stop.isStopped) return null;
  const problem = `its process ended with ${how}: ${reasonIn(said)}`;
  return brokenCase(file, one, problem, performance.now() - begunMs);
}

/** What a process that broke says of why: the line with the error, not the way to it. */
function reasonIn(said: string): string {
  const lines = said.split('\n').map((line) => line.trim());
  return (
    lines.find((line) => /^\w*Error\b.*:/.test(line)) ?? lines.findLast((line) => line !== '') ?? 'it says nothing'
  );
}

/**
 * Waits for a child's end; stops it when told to, and ends it by force after a while.
 * @returns how it ended
 */
function ended(child: ChildProcess, stop: StopSignal, withinMs: number): Promise<string> {
  return new Promise((resolve) => {
    let givenUpMs = 0;
    const look = setInterval(() => {
      if (!stop.isStopped) return;
      if (givenUpMs === 0) child.kill('SIGTERM');
      else if (stop.isAborted === true || performance.now() - givenUpMs > withinMs) child.kill('SIGKILL');
      givenUpMs ||= performance.now();
    }, 100);
    const done = (how: string) => {
      clearInterval(look);
      resolve(how);
    };
    child.on('error', (error) => done(error.message));
    child.on('close', (code, signal) => done(signal ?? `exit code ${code}`));
  });
}
