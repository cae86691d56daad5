import { milliseconds } from '../faults/occurrence.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Surroundings } from '../sim/surroundings.js';
import type { Planned } from '../truth/journal.js';
import { surroundingsRecord } from '../truth/records.js';

/** An entry of the timeline that changes the surroundings, or one made by hand, as the journal records it. */
export interface SurroundingsEntry extends Planned {
  readonly id: string;
  readonly surroundings: Surroundings;
  /** Moves to an earlier time where it is cleared by hand. */
  endMs: number;
}

function entryOf(
  id: string,
  surroundings: Surroundings,
  [beginMs, endMs]: readonly [number, number],
): SurroundingsEntry {
  return {
    id,
    surroundings,
    beginMs,
    endMs,
    record: (atMs, phase) => surroundingsRecord(atMs, phase, id, surroundings),
  };
}

/** The timeline's surroundings, in its order. */
function surroundingsEntries({ timeline }: Scenario): SurroundingsEntry[] {
  return timeline
    .filter((entry) => entry.kind === 'surroundings')
    .map(({ name, atS, forS, surroundings }) =>
      entryOf(`${name}.1`, surroundings, [milliseconds(atS), milliseconds(atS + (forS ?? Infinity))]),
    );
}

/** The route's surroundings, as the journal records them. */
export function routeSurroundings({ trajectory }: Scenario): Planned[] {
  return trajectory.stretches.map(({ fromS, toS, surroundings }, index) =>
    entryOf(`route.${index + 1}`, surroundings, [milliseconds(fromS), milliseconds(toS)]),
  );
}

/**
 * What stands around the antenna at each time: by the last entry in force, of those made by hand or of the timeline,
 * or by the route, or the scenario.
 */
export class SurroundingsPlan {
  readonly #scenario: Scenario;
  readonly #entries: SurroundingsEntry[];

  constructor(scenario: Scenario) {
    this.#scenario = scenario;
    this.#entries = surroundingsEntries(scenario);
  }

  get entries(): readonly SurroundingsEntry[] {
    return this.#entries;
  }

  at(atMs: number): Surroundings {
    const { trajectory, surroundings } = this.#scenario;
    const entry =
      this.#entries.length === 0
        ? undefined
        : this.#entries.findLast(({ beginMs, endMs }) => atMs >= beginMs && atMs < endMs);
    return entry?.surroundings ?? trajectory.surroundingsAt(atMs / 1000) ?? surroundings;
  }

  /** Adds an entry that goes before all others. */
  add(id: string, surroundings: Surroundings, times: readonly [number, number]): SurroundingsEntry {
    const entry = entryOf(id, surroundings, times);
    this.#entries.push(entry);
    return entry;
  }

  /** Ends what is in force. @param name id, or the name of its entry. @returns false: there is none */
  clear(name: string, nowMs: number): boolean {
    const entry = this.#find(name, nowMs);
    if (entry === undefined) return false;
    entry.endMs = nowMs;
    return true;
  }

  /** Whether there is something that {@link clear} would end. */
  has(name: string, nowMs: number): boolean {
    return this.#find(name, nowMs) !== undefined;
  }

  #find(name: string, nowMs: number): SurroundingsEntry | undefined {
    const isMeant = (id: string) => id === name || id === `${name}.1`;
    return this.#entries.find((each) => isMeant(each.id) && each.beginMs <= nowMs && each.endMs > nowMs);
  }
}
