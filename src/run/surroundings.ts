import { milliseconds } from '../faults/occurrence.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/signal/signal.js';

/** What stands around the antenna at each time: by the timeline's last entry in force, or the scenario's own. */
export function surroundingsOver({ surroundings, timeline }: Scenario): (atMs: number) => Surroundings {
  const entries = timeline
    .filter((entry) => entry.kind === 'surroundings')
    .map((entry) => ({
      surroundings: entry.surroundings,
      beginMs: milliseconds(entry.atS),
      endMs: milliseconds(entry.atS + (entry.forS ?? Infinity)),
    }));
  if (entries.length === 0) return () => surroundings;
  return (atMs) => {
    const inForce = entries.filter(({ beginMs, endMs }) => atMs >= beginMs && atMs < endMs);
    return inForce.at(-1)?.surroundings ?? surroundings;
  };
}
