import type { Utc } from '../base/time.js';
import { utcMsOf, utcOfMs } from '../base/utc-ms.js';
import { replayClock } from '../replay/recorded-clock.js';
import type { Scenario } from '../scenario/scenario.js';
import { TYPICAL_KLOBUCHAR } from '../sim/signal/atmosphere/klobuchar.js';
import type { RecordingFacts } from '../truth/journal-record.js';
import { Engine } from './engine.js';
import type { LineEngine } from './line-engine.js';
import { RecordingEngine } from './recording-engine.js';
import { type SkyOfRun, skyOf } from './satellites.js';
import type { Interest } from './simulator-of-run.js';

/** What plays a scenario, and how long. */
export interface Played {
  readonly engine: LineEngine;
  /** UTC at tick 0. */
  readonly startUtc: Utc;
  /** Interval of epochs at the start, ms; of a recording the usual one. */
  readonly epochMs: number;
  /** Epochs of the whole run; Infinity: it has no end, or nobody knows how many they are. */
  readonly epochCount: number;
  /** No epoch is at this time or later, ms. */
  readonly lastMs: number;
  /** Of a recording nothing is known of it. */
  readonly sky: SkyOfRun;
  readonly recording: RecordingFacts | null;
}

/**
 * Makes the engine that plays a scenario: a module that is simulated, or a recording.
 * @param now stands for `start: now`
 * @throws LodestubError `almanac.…`, `navigation.…`, `replay.…`
 */
export function makeEngine(scenario: Scenario, now: Utc, interest: Interest): Played {
  return scenario.recording === null ? simulated(scenario, now, interest) : recorded(scenario, now, interest);
}

function simulated(scenario: Scenario, now: Utc, interest: Interest): Played {
  const { start, durationS, trajectory, module } = scenario;
  const startUtc = start === 'now' ? now : start;
  const { epochMs } = module;
  const lengthS = durationS ?? trajectory.durationS;
  const epochCount = lengthS === Infinity ? Infinity : Math.max(1, Math.ceil((lengthS * 1000) / epochMs - 1e-6));
  const sky = skyOf(scenario, startUtc, lengthS);
  const engine = new Engine(scenario, startUtc, sky, interest);
  return { engine, startUtc, epochMs, epochCount, lastMs: epochCount * epochMs, sky, recording: null };
}

function recorded(scenario: Scenario, now: Utc, { isWatched }: Interest): Played {
  const { recording, durationS, module } = scenario;
  if (recording === null) throw new Error('the scenario has no recording');
  const nowMs = utcMsOf(now);
  const clock = replayClock(recording, module.baud, nowMs);
  const startUtcMs = clock.startUtcMs ?? nowMs;
  const { file, timing, survey } = recording;
  return {
    engine: new RecordingEngine(scenario, clock, startUtcMs, isWatched),
    startUtc: utcOfMs(startUtcMs),
    epochMs: survey.intervalMs,
    epochCount: survey.isWhole && durationS === null ? survey.groups : Infinity,
    lastMs: durationS === null ? Infinity : durationS * 1000,
    sky: { satellites: [], klobuchar: TYPICAL_KLOBUCHAR },
    recording: { file: file.path, bytes: file.size, timing, shiftS: clock.shiftS },
  };
}
