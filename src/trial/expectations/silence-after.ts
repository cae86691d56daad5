import { percentile } from '../../statistics/percentile.js';
import type { Evidence } from '../evidence.js';
import type { Span } from '../expectation.js';
import { isWithin } from '../windows.js';
import { seconds } from './figures.js';
import { fixStateOf } from './module-fix.js';

/** Shorter than this, or than so many of the host's usual intervals, or so few epochs, it is no silence. Our own. */
const LEAST_MS = 10_000;
const INTERVALS = 5;
const LEAST_EPOCHS = 5;

/**
 * Whether a host that was heard fell silent for good within the windows, though the module went on telling it fixes: of
 * these nothing is known then, whatever came before.
 * @param timesMs what times its reports were about, simulated ms, in order; not empty
 * @returns a clause; null: it did not
 */
export function silenceAfter(timesMs: readonly number[], evidence: Evidence, windows: readonly Span[]): string | null {
  const lastMs = timesMs.at(-1) as number;
  const missed = evidence.epochs.filter(
    (epoch) =>
      epoch.atMs > lastMs &&
      epoch.toldMs !== null &&
      fixStateOf(epoch) === 'fix' &&
      isWithin(windows, evidence, epoch.atMs),
  );
  const silentMs = (missed.at(-1)?.atMs ?? lastMs) - lastMs;
  const steps = timesMs.slice(1).map((timeMs, index) => timeMs - (timesMs[index] as number));
  steps.sort((a, b) => a - b);
  const usualMs = steps.length === 0 ? 0 : percentile(steps, 50);
  if (missed.length < LEAST_EPOCHS || silentMs <= Math.max(LEAST_MS, INTERVALS * usualMs)) return null;
  const fixes = `${missed.length} fixes, from ${seconds(lastMs)} on`;
  return `nothing of the last ${seconds(silentMs)} though the module told ${fixes}`;
}
