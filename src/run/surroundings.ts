import { milliseconds } from '../faults/occurrence.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/surroundings.js';
import type { Planned } from '../truth/journal.js';
import { surroundingsRecord } from '../truth/records.js';

/** An entry of the timeline that changes the surroundings, as the journal records it. */
export interface SurroundingsEntry extends Planned {
  readonly surroundings: Surroundings;
}

/** The timeline's surroundings, in its order. */
export function surroundingsEntries({ timeline }: Scenario): SurroundingsEntry[] {
  return timeline
    .filter((entry) => entry.kind === 'surroundings')
    .map(({ place, atS, forS, surroundings }) => ({
      surroundings,
      beginMs: milliseconds(atS),
      endMs: milliseconds(atS + (forS ?? Infinity)),
      record: (atMs, phase) => surroundingsRecord(atMs, phase, `${place}.1`, surroundings),
    }));
}

/** The route's surroundings, as the journal records them. */
export function routeSurroundings({ trajectory }: Scenario): Planned[] {
  return trajectory.stretches.map(({ fromS, toS, surroundings }, index) => ({
    beginMs: milliseconds(fromS),
    endMs: milliseconds(toS),
    record: (atMs, phase) => surroundingsRecord(atMs, phase, `route.${index + 1}`, surroundings),
  }));
}

/**
 * What stands around the antenna at each time: by the timeline's last entry in force, or the route, or the scenario.
 */
export function surroundingsOver(scenario: Scenario): (atMs: number) => Surroundings {
  const entries = surroundingsEntries(scenario);
  const { trajectory, surroundings } = scenario;
  const byRoute = (atMs: number) => trajectory.surroundingsAt(atMs / 1000) ?? surroundings;
  if (entries.length === 0) return byRoute;
  return (atMs) => {
    const inForce = entries.filter(({ beginMs, endMs }) => atMs >= beginMs && atMs < endMs);
    return inForce.at(-1)?.surroundings ?? byRoute(atMs);
  };
}
