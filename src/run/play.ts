import type { Clock } from './clock.js';
import type { ModuleRun } from './module-run.js';

/** Says when a run is to end early. */
export interface StopSignal {
  /** After the sentence that is on the line. */
  readonly isStopped: boolean;
  /** At once. */
  readonly isAborted?: boolean;
}

/**
 * Plays a run by a clock, from tick 0 to its end or until it is stopped. The module catches up with what the machine
 * overslept: bytes may be late, never early, and none is lost.
 */
export async function play(run: ModuleRun, clock: Clock, signal: StopSignal): Promise<void> {
  let isStopping = false;
  while (!run.isOver) {
    run.advanceTo(clock.nowMs());
    if (run.isOver) break;
    if (signal.isStopped && !isStopping) {
      isStopping = true;
      run.stop();
      clock.resume();
    }
    if (signal.isAborted === true) {
      run.abort();
      break;
    }
    await clock.wait(run.nextMs);
  }
}

/** Ticks between two looks at the rest of the world. */
const TICKS_AT_ONCE = 8;
/** Real time after which others get a turn, ms. */
const TURN_MS = 50;

/** Plays a run as fast as the machine can. */
export async function playFlatOut(run: ModuleRun, signal: StopSignal, progress?: () => void): Promise<void> {
  let turnMs = performance.now();
  while (!run.isOver) {
    const isLast = run.epochsDone + TICKS_AT_ONCE >= run.epochCount;
    run.advanceTo(isLast ? Infinity : run.nextEpochMs + (TICKS_AT_ONCE - 1) * run.epochMs);
    if (performance.now() - turnMs < TURN_MS) continue;
    progress?.();
    await new Promise((resolve) => setImmediate(resolve));
    turnMs = performance.now();
    if (signal.isStopped) {
      run.stop();
      run.advanceTo(Infinity);
    }
  }
}
