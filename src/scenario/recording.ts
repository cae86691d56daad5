import { isAbsolute, join } from 'node:path';
import { LodestubError } from '../base/error.js';
import { utcMsOf, utcOfMs } from '../base/utc-ms.js';
import type { FaultKind } from '../faults/fault.js';
import { recordedLengthMs, replayClock } from '../replay/recorded-clock.js';
import type { Recording } from '../replay/recording.js';
import { findRecording } from '../replay/recording-file.js';
import { NO_SHIFT } from '../replay/shift-time.js';
import { checkTiming, surveyRecording } from '../replay/survey.js';
import type { Trajectory } from '../sim/trajectory/trajectory.js';
import type { ValuePath, YamlDocument } from './document.js';
import { type Mistake, mistake, report } from './explain.js';
import { shownPath } from './files.js';
import type { RawRecording } from './recording-schema.js';
import type { Scenario } from './scenario.js';
import type { RawScenario } from './scenario-schema.js';

/** Keys that say something of a receiver, or of its time; a recording has its own. */
const RECEIVER_KEYS = ['start', 'receiver', 'sky', 'errors', 'surroundings'];

/** Whether a fault acts on what a recording has: sentences, bytes and the port. */
export function needsReceiver({ stage }: Pick<FaultKind, 'stage'>): boolean {
  return stage === 'signal' || stage === 'receiver';
}

/**
 * Checks that a scenario has either a route or a recording, and beside a recording nothing that needs a receiver.
 * @throws LodestubError `scenario.required`, `scenario.one-of`, `scenario.recording`
 */
export function checkKind(document: YamlDocument, raw: RawScenario, kinds: readonly FaultKind[]): void {
  const has = (key: string) => Object.hasOwn(document.value, key);
  if (raw.recording === undefined) {
    if (raw.route !== undefined) return;
    const detail = { kind: 'required', summary: 'the key route is missing', expected: 'a list of steps' };
    const hint = 'A scenario has a route, or a recording.';
    throw report(document, [mistake(document, ['route'], { ...detail, hint })]);
  }
  const mistakes: Mistake[] = [];
  if (has('route')) {
    const keys = Object.keys(document.value).filter((key) => key === 'route' || key === 'recording');
    const expected = 'only one of the keys route, recording';
    mistakes.push(mistake(document, [keys[1] as string], { kind: 'one-of', expected }, true));
  }
  for (const key of RECEIVER_KEYS.filter(has)) mistakes.push(unfit(document, [key], `the key ${key}`));
  for (const list of ['timeline', 'live'] as const) {
    for (const [index, entry] of raw[list].entries()) {
      const kind = kinds.find(({ name }) => name === entry.fault);
      if (entry.surroundings !== undefined) mistakes.push(unfit(document, [list, index, 'surroundings'], 'this'));
      else if (kind !== undefined && needsReceiver(kind)) {
        mistakes.push(unfit(document, [list, index, 'fault'], `the fault ${kind.name}`));
      }
    }
  }
  if (mistakes.length > 0) throw report(document, mistakes);
}

function unfit(document: YamlDocument, at: ValuePath, what: string): Mistake {
  const summary = `${what} needs a receiver, and a recording has none`;
  const hint =
    at.length === 1
      ? 'Leave it out; recording.shift-time moves the recording’s times.'
      : 'Faults of sentences, bytes and the port act on a recording: see lodestub list faults.';
  return mistake(document, at, { kind: 'recording', summary, hint }, true);
}

/**
 * Finds and looks at the recording that a scenario names.
 * @throws LodestubError `replay.…`, with the recording’s place in the document
 */
export async function readRecording(raw: RawRecording, document: YamlDocument, baseFolder: string): Promise<Recording> {
  const settings = typeof raw === 'string' ? { file: raw, timing: 'stamps' as const } : raw;
  const { file: name, timing } = settings;
  const path = isAbsolute(name) ? name : join(baseFolder, name);
  const longestGapMs = ('longest-gap' in settings ? (settings['longest-gap'] ?? Infinity) : Infinity) * 1000;
  const shift = ('shift-time' in settings ? settings['shift-time'] : undefined) ?? NO_SHIFT;
  try {
    const file = await findRecording(path, shownPath(path));
    const survey = surveyRecording(file, longestGapMs);
    checkTiming(timing, survey, file.path);
    return { file, timing, shift, longestGapMs, survey };
  } catch (error) {
    throw placed(error, document, ['recording']);
  }
}

/** What of a scenario follows from its recording. @throws LodestubError `replay.no-date`, `replay.shift` */
export function recordedParts(
  recording: Recording,
  baud: number,
  document: YamlDocument,
): Pick<Scenario, 'recording' | 'start' | 'trajectory'> {
  const durationS = recordedLengthMs(recording, baud) / 1000;
  return { recording, start: startOf(recording, baud, document), trajectory: unknownTrajectory(durationS) };
}

/** UTC at the beginning; `now` where that is wished, or where the recording does not tell. */
function startOf(recording: Recording, baud: number, document: YamlDocument): Scenario['start'] {
  try {
    // Any time does for now: what is wrong with the shift shows.
    const { startUtcMs } = replayClock(recording, baud, SOME_UTC_MS);
    return startUtcMs === null || recording.shift.kind === 'now' ? 'now' : utcOfMs(startUtcMs);
  } catch (error) {
    throw placed(error, document, ['recording', 'shift-time']);
  }
}

const SOME_UTC_MS = utcMsOf({ year: 2024, month: 1, day: 1, hour: 0, minute: 0, second: 0 });

/** Nobody knows where the antenna of a recording was; only how long it lasts is known. */
function unknownTrajectory(durationS: number): Trajectory {
  return {
    durationS,
    stretches: [],
    surroundingsAt: () => null,
    at() {
      throw new Error('nobody knows where the antenna of a recording was');
    },
  };
}

/** An error about a recording, with the place in the scenario put before it. */
function placed(error: unknown, document: YamlDocument, at: ValuePath): unknown {
  if (!(error instanceof LodestubError)) return error;
  const { code, path = '', expected, received, hint, summary } = error;
  const where = `${document.place(document.offsetOf(at))}, ${at.join('.')}`;
  const about = at.length === 1 ? `${path}: ` : '';
  return new LodestubError({
    code,
    path: where,
    ...(expected === undefined ? {} : { expected }),
    ...(received === undefined ? {} : { received }),
    ...(hint === undefined ? {} : { hint }),
    ...(summary === undefined ? {} : { summary: `${about}${summary}` }),
    cause: error,
  });
}
