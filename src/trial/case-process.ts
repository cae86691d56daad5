import { once } from 'node:events';
import { LodestubError } from '../base/error.js';
import { brokenCase } from './broken-case.js';
import { endGroup } from './end-group.js';
import { playCase } from './play-case.js';
import type { CaseNews, CaseOrder } from './play-cases.js';
import { loadPlan } from './read-plan.js';
import type { CaseResult } from './result.js';

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
  const [order] = (await once(process, 'message')) as [CaseOrder];
  const result = await resultOf(order, stop);
  if (!stop.isStopped) await new Promise((resolve) => tell({ news: 'over', result }, resolve));
  process.off('disconnect', end);
  if (process.connected) process.disconnect();
  return 0;
}

async function resultOf(order: CaseOrder, stop: { readonly isStopped: boolean }): Promise<CaseResult> {
  const { file, one, textDigest, keepFolder } = order;
  const begunMs = performance.now();
  let group: number | null = null;
  // Should this process end by a mistake of its own, the host ends with it.
  process.on('exit', () => endGroup(group));
  try {
    const { plan } = await loadPlan(file);
    if (plan.textDigest !== textDigest) {
      const summary = 'the trial has been changed while it is played';
      throw new LodestubError({ code: 'trial.changed', path: file, summary, hint: 'Play it again.' });
    }
    const reached = (atMs: number, ofMs: number) => tell({ news: 'reached', atMs, ofMs });
    const hostStarted = (id: number) => {
      group = id;
      tell({ news: 'host', group: id });
    };
    const result = await playCase({ plan, one, keepFolder, stop, reached, hostStarted });
    group = null;
    return result;
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    group = null;
    return brokenCase(file, one, error.message, performance.now() - begunMs);
  }
}

function tell(news: CaseNews, then: (value: unknown) => void = () => {}): void {
  if (process.connected) process.send?.(news, undefined, undefined, () => then(undefined));
  else then(undefined);
}
