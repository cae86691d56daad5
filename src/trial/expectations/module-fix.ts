import { percentile } from '../../statistics/percentile.js';
import type { Evidence, TrialEpoch } from '../evidence.js';

/** What the module tells of its fix; `silent`: nothing comes. */
export type FixState = 'fix' | 'estimated' | 'none' | 'silent';

/** A time in which the host was told one and the same. */
export interface FixPhase {
  readonly state: FixState;
  /** The host may have known from here on, and knew by `beginMs`, simulated ms. */
  readonly sinceMs: number;
  readonly beginMs: number;
  /** When the next phase can first be known; of the last one the case's end. */
  readonly endMs: number;
}

/** A time without a fix after one with a fix. */
export interface FixLoss {
  /** As of {@link FixPhase}. */
  readonly sinceMs: number;
  readonly beginMs: number;
  /** When the module told a fix again, or the case ended. */
  readonly endMs: number;
  /** How it began. */
  readonly state: 'none' | 'silent';
}

/** A line counts as silent after so many of its usual intervals. */
const SILENT_INTERVALS = 2;

/** Whether the module reports a fix: a place that is valid; one carried on without satellites is an estimate. */
export function fixStateOf({ report }: TrialEpoch): Exclude<FixState, 'silent'> {
  if (report.status !== 'A' || report.latitudeDeg === null) return 'none';
  return report.mode === 'E' ? 'estimated' : 'fix';
}

/** What the host was told of the module's fix, in order; empty: it was told nothing. */
export function fixPhasesOf(evidence: Evidence): FixPhase[] {
  const told = evidence.epochs.filter((epoch): epoch is TrialEpoch & { toldMs: number } => epoch.toldMs !== null);
  const usualMs = usualIntervalMs(told, evidence.epochMs);
  const begun: Omit<FixPhase, 'endMs'>[] = [];
  const begin = (state: FixState, sinceMs: number, beginMs: number) => {
    if (begun.at(-1)?.state !== state) begun.push({ state, sinceMs, beginMs });
  };
  const silence = (fromMs: number, toMs: number) => {
    if (toMs - fromMs > SILENT_INTERVALS * usualMs) begin('silent', fromMs + usualMs, fromMs + usualMs);
  };
  for (const [i, epoch] of told.entries()) {
    if (i > 0) silence((told[i - 1] as { toldMs: number }).toldMs, epoch.toldMs);
    begin(fixStateOf(epoch), epoch.atMs, epoch.toldMs);
  }
  const last = told.at(-1);
  if (last !== undefined) silence(last.toldMs, evidence.endMs);
  return begun.map((phase, i) => ({ ...phase, endMs: begun[i + 1]?.sinceMs ?? evidence.endMs }));
}

/** The interval at which epochs mostly came to the host: the median. */
function usualIntervalMs(told: readonly { readonly toldMs: number }[], epochMs: number): number {
  const gaps = told.slice(1).map(({ toldMs }, i) => toldMs - (told[i] as { toldMs: number }).toldMs);
  gaps.sort((a, b) => a - b);
  return gaps.length === 0 ? epochMs : Math.max(epochMs, percentile(gaps, 50));
}

/** Each loss of the fix: from its first phase without one to the next with one, if only an estimated one. */
export function fixLossesOf(phases: readonly FixPhase[]): FixLoss[] {
  const losses: FixLoss[] = [];
  for (const [i, { state, sinceMs, beginMs }] of phases.entries()) {
    if (isWithout(state) && i > 0 && !isWithout((phases[i - 1] as FixPhase).state)) {
      const back = phases.slice(i).find((phase) => !isWithout(phase.state));
      const endMs = back?.sinceMs ?? (phases.at(-1) as FixPhase).endMs;
      losses.push({ state, sinceMs, beginMs, endMs });
    }
  }
  return losses;
}

function isWithout(state: FixState): state is 'none' | 'silent' {
  return state === 'none' || state === 'silent';
}
