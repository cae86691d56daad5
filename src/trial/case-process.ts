import { once } from 'node:events';
import { LodestubError } from '../base/error.js';
import { playCase } from './play-case.js';
import { brokenCase, type CaseNews, type CaseOrder } from './play-cases.js';
import { loadTrial } from './read-trial.js';

/** How often the trial is told how far the case has come, ms. */
const TOLD_EVERY_MS = 250;

/**
 * Plays the one case that the trial's process orders, and sends its result. A case that is told to stop ends its host
 * and frees its port; so does one whose trial is gone.
 * @returns the exit code
 * @throws LodestubError `command.conflict` where no trial has started it
 */
export async function caseProcess(): Promise<number> {
  if (process.send === undefined) {
    const hint = 'To play one case: lodestub trial FILE --case ID.';
    throw new LodestubError({
      code: 'command.conflict',
      path: 'trial-case',
      expected: 'to be started by a trial',
      hint,
    });
  }
  const stop = { isStopped: false };
  const end = () => {
    stop.isStopped = true;
  };
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, end);
  process.on('disconnect', end);
  const [{ file, id, keepFolder }] = (await once(process, 'message')) as [CaseOrder];
  const begunMs = performance.now();
  const trial = await loadTrial(file);
  const one = trial.cases.find((each) => each.id === id);
  if (one === undefined) throw new Error(`the trial ${file} has no case ${id}`);
  let toldMs = -Infinity;
  const reached = (atMs: number, ofMs: number) => {
    if (performance.now() - toldMs < TOLD_EVERY_MS) return;
    toldMs = performance.now();
    tell({ news: 'reached', atMs, ofMs });
  };
  let result = null;
  try {
    result = await playCase({ trial, one, keepFolder, stop, reached });
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    result = brokenCase(trial, one, error.message, performance.now() - begunMs);
  }
  if (result !== null && !stop.isStopped) await new Promise((resolve) => tell({ news: 'over', result }, resolve));
  process.off('disconnect', end);
  if (process.connected) process.disconnect();
  return 0;
}

function tell(news: CaseNews, then: (value: unknown) => void = () => {}): void {
  if (process.connected) process.send?.(news, undefined, undefined, () => then(undefined));
  else then(undefined);
}
