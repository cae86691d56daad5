import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { placeholdersIn } from './host/placeholders.js';
import type { CaseResult } from './result.js';
import type { Trial, TrialCase } from './trial.js';

/** The command line, which plays a case in a process of its own; as far from `src/trial` as from `dist/bundle`. */
const PROGRAM = fileURLToPath(new URL('../../bin/lodestub.js', import.meta.url));

/** How much of what a broken case's process says is kept, characters. */
const LONGEST_SAID = 2000;
/** How long a process that was told to stop has for its host and its files, ms. */
const STOP_WITHIN_MS = 15_000;

/** What a case's process is told. */
export interface CaseOrder {
  readonly file: string;
  readonly id: string;
  /** Journal, stream and output of the host go there; null: nowhere. */
  readonly keepFolder: string | null;
}

/** What a case's process tells. */
export type CaseNews =
  | { readonly news: 'reached'; readonly atMs: number; readonly ofMs: number }
  | { readonly news: 'over'; readonly result: CaseResult };

export interface PlayOptions {
  /** How many are played at once. */
  readonly jobs: number;
  readonly keepFolder: string | null;
  /** Told to stop: cases under way are given up. */
  readonly stop: { readonly isStopped: boolean };
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
  let said = '';
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said = (said + text).slice(-LONGEST_SAID);
  });
  child.on('message', (news: CaseNews) => {
    if (news.news === 'over') result = news.result;
    else reached(Math.min(1, news.atMs / Math.max(1, news.ofMs)));
  });
  const order: CaseOrder = { file: trial.file, id: one.id, keepFolder };
  // One that has ended already says so by its exit.
  child.send(order, () => {});
  const how = await ended(child, stop);
  if (result !== null) return result;
  return stop.isStopped
    ? null
    : brokenCase(trial, one, `its process ended with ${how}: ${said.trim()}`, performance.now() - begunMs);
}

/** Waits for a child's end; stops it when told to. @returns how it ended */
function ended(child: ChildProcess, stop: { readonly isStopped: boolean }): Promise<string> {
  return new Promise((resolve) => {
    let givenUpMs = 0;
    const look = setInterval(() => {
      if (!stop.isStopped) return;
      if (givenUpMs === 0) child.kill('SIGTERM');
      else if (performance.now() - givenUpMs > STOP_WITHIN_MS) child.kill('SIGKILL');
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

/** A case that could not be played. */
export function brokenCase(trial: Trial, one: TrialCase, problem: string, tookMs: number): CaseResult {
  const { id, scenario, module, seed, faults } = one;
  return {
    ...{ id, scenario, module, seed, faults, problem, tookMs },
    verdict: 'broken',
    judged: [],
    reports: 0,
    badReports: 0,
    firstBad: null,
    startUtc: '',
    lengthMs: 0,
    command: commandFor(trial, id),
    drawing: { truth: [], module: [], reports: [], faults: [] },
    lines: [],
  };
}

/** The one command that repeats a case. */
export function commandFor({ file }: Trial, id: string): string {
  return `lodestub trial ${quoted(file)} --case ${quoted(id)}`;
}

/** A word as a shell takes it for one. */
function quoted(word: string): string {
  return /^[\w./:@%+=,-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}
