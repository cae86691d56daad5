import type { Utc } from '../base/time.js';
import type { FaultSchedule } from '../faults/schedule.js';
import type { Scenario } from '../scenario/scenario.js';
import { Simulator } from '../sim/simulator.js';
import type { SkyOfRun } from './satellites.js';
import type { SurroundingsPlan } from './surroundings.js';

/** What is asked of a run beside the module's bytes. */
export interface Interest {
  /** False: nobody looks at the epochs' satellites, and they are not listed. */
  readonly isWatched: boolean;
  /** Raw measurements of every epoch. */
  readonly withObservations: boolean;
}

/** What acts on the simulation's epochs. */
interface Acting {
  readonly schedule: FaultSchedule;
  readonly surroundings: SurroundingsPlan;
}

/** The simulation behind a scenario's module, with the faults of signal and receiver acting on it. */
export function simulatorOf(
  scenario: Scenario,
  start: Utc,
  { satellites, klobuchar }: SkyOfRun,
  { isWatched, withObservations }: Interest,
  { schedule, surroundings }: Acting,
): Simulator {
  const { seed, leapSeconds, trajectory, receiverStart, errors, module } = scenario;
  const { epochMs, receiver } = module;
  /** The epoch before. */
  let lastMs = -epochMs;
  return new Simulator(
    {
      seed,
      start,
      leapSeconds,
      epochMs,
      trajectory,
      satellites,
      klobuchar,
      receiver,
      receiverStart,
      errors,
      withObservations,
    },
    {
      isWatched,
      surroundings: (atMs) => surroundings.at(atMs),
      signals: (signals, atMs, antenna) => {
        for (const { effect, beginMs, endMs } of schedule.inForce('signal', atMs)) {
          effect.signal(signals, { tS: atMs / 1000, ...timesOf(beginMs, endMs, atMs), antenna });
        }
      },
      report: (report, atMs, truth) => {
        let seen = report;
        const intervalS = (atMs - lastMs) / 1000;
        lastMs = atMs;
        for (const { effect, beginMs, endMs } of schedule.inForce('receiver', atMs)) {
          const context = { ...timesOf(beginMs, endMs, atMs), intervalS, leapSeconds, truth };
          seen = effect.report?.(seen, context) ?? seen;
        }
        return seen;
      },
    },
  );
}

function timesOf(beginMs: number, endMs: number, atMs: number) {
  return { sinceS: (atMs - beginMs) / 1000, leftS: (endMs - atMs) / 1000 };
}
