import { milliseconds } from '../faults/occurrence.js';
import type { Scenario, StopKind } from '../scenario/scenario.js';

/** An end of the run that the timeline has. */
export interface PlannedStop {
  /** ms since the start */
  readonly atMs: number;
  readonly stop: StopKind;
}

/** Where the timeline ends the run, in order of time. */
export function stopsOf({ timeline }: Pick<Scenario, 'timeline'>): PlannedStop[] {
  const stops = timeline.flatMap((entry) =>
    entry.kind === 'stop' ? [{ atMs: milliseconds(entry.atS), stop: entry.stop }] : [],
  );
  return stops.sort((a, b) => a.atMs - b.atMs);
}
