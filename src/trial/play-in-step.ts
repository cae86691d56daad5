import type { RealClock } from '../run/clock.js';
import type { ModuleRun } from '../run/module-run.js';
import { play, type StopSignal } from '../run/play.js';

/** How fast time goes within a step, times real time: an epoch a second takes 20 ms. */
export const STEP_PACE = 50;

/** How often it is looked whether a step is over, ms. */
const LOOK_MS = 2;

/**
 * Plays a run in step with a host's reports: each epoch's bytes go out, then time stands until a report has come, or
 * for so long at most, or the host is gone.
 * @param clock at {@link STEP_PACE}
 * @param reports how many reports have come so far
 * @param isGone there is nobody to wait for
 * @param patienceMs by the machine's clock
 */
export async function playInStep(
  run: ModuleRun,
  clock: RealClock,
  signal: StopSignal,
  { reports, isGone, patienceMs }: { reports: () => number; isGone: () => boolean; patienceMs: number },
): Promise<void> {
  clock.goOnUntil(0);
  const playing = play(run, clock, signal);
  const isOver = () => run.isOver || signal.isStopped;
  while (!isOver() && run.nextEpochMs !== Infinity) {
    const before = reports();
    const limitMs = run.nextEpochMs;
    clock.goOnUntil(limitMs);
    await until(() => isOver() || (clock.nowMs() >= limitMs && run.nextEpochMs > limitMs));
    const since = performance.now();
    await until(() => isOver() || isGone() || reports() > before || performance.now() - since >= patienceMs);
  }
  clock.resume();
  await playing;
}

async function until(isSo: () => boolean): Promise<void> {
  while (!isSo()) await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
}
