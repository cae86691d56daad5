import type { RealClock } from '../run/clock.js';
import type { ModuleRun } from '../run/module-run.js';
import { play, type StopSignal } from '../run/play.js';

/** How fast time goes within a step, times real time: an epoch a second takes 20 ms. */
export const STEP_PACE = 50;

/** How often it is looked whether a step is over, ms. */
const LOOK_MS = 2;
/** A host that reports an epoch in several parts has done so when nothing more has come for so long, ms. */
const QUIET_MS = 25;

/** What is known of the host's reports while steps are played. */
export interface StepReports {
  /** How many have come. */
  count(): number;
  /** When the last one came, by the machine's clock, ms. */
  lastMs(): number;
  /** False: the last one tells a time before the newest epoch that the module has told. */
  isOfNewest(): boolean;
  /** There is nobody to wait for. */
  isGone(): boolean;
}

/**
 * Plays a run in step with a host's reports: each epoch's bytes go out, then time stands until the host has reported
 * it, or for so long at most, or the host is gone.
 * @param clock at {@link STEP_PACE}
 * @param patienceMs by the machine's clock
 */
export async function playInStep(
  run: ModuleRun,
  clock: RealClock,
  signal: StopSignal,
  reports: StepReports,
  patienceMs: number,
): Promise<void> {
  clock.goOnUntil(0);
  let failure: unknown = null;
  let hasFailed = false;
  const playing = play(run, clock, signal).catch((error: unknown) => {
    hasFailed = true;
    failure = error;
  });
  const isOver = () => hasFailed || run.isOver || signal.isStopped;
  while (!isOver() && run.nextEpochMs !== Infinity) {
    const before = reports.count();
    const limitMs = run.nextEpochMs;
    clock.goOnUntil(limitMs);
    await until(() => isOver() || (clock.nowMs() >= limitMs && run.nextEpochMs > limitMs));
    const sinceMs = performance.now();
    const hasReported = () =>
      reports.count() > before && reports.isOfNewest() && performance.now() - reports.lastMs() >= QUIET_MS;
    await until(() => isOver() || reports.isGone() || hasReported() || performance.now() - sinceMs >= patienceMs);
  }
  clock.resume();
  await playing;
  if (hasFailed) throw failure;
}

async function until(isSo: () => boolean): Promise<void> {
  while (!isSo()) await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
}
