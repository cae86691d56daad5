import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/signal/signal.js';

/** What stands around the antenna at each time: the last entry of the timeline that is in force, or the scenario's own. */
export function surroundingsOver({ surroundings, timeline }: Scenario): (atMs: number) => Surroundings {
  const entries = timeline.filter((entry) => entry.kind === 'surroundings');
  if (entries.length === 0) return () => surroundings;
  return (atMs) => {
    const atS = atMs / 1000;
    const inForce = entries.filter(
      (entry) => atS >= entry.atS && (entry.forS === null || atS < entry.atS + entry.forS),
    );
    return inForce.at(-1)?.surroundings ?? surroundings;
  };
}
