import { basename, resolve } from 'node:path';
import { parseDocument, stringify } from 'yaml';
import { atPath } from '../base/at-path.js';
import { BITS_PER_BYTE } from '../base/constants.js';
import { LodestubError } from '../base/error.js';
import { utcMsOf } from '../base/utc-ms.js';
import { replayClock } from '../replay/recorded-clock.js';
import type { Recording, Timing } from '../replay/recording.js';
import { findRecording } from '../replay/recording-file.js';
import { NO_SHIFT, parseShiftTime } from '../replay/shift-time.js';
import { checkTiming, surveyRecording } from '../replay/survey.js';
import { readYaml } from './document.js';
import { mistake, report } from './explain.js';
import { NODE_FILES, readFailure, shownPath } from './files.js';
import { readScenario } from './read.js';
import type { Scenario, ScenarioOverrides } from './scenario.js';

/** A recording to be played, without a scenario file. */
export interface RecordingOptions {
  /** A recorded stream. */
  readonly file: string;
  readonly timing?: Timing;
  /** As {@link parseShiftTime} reads it. */
  readonly shiftTime?: string;
  /** A longer silence lasts only so long, s. */
  readonly longestGapS?: number;
  /** A YAML file with a list `timeline`, and perhaps `live`, as a scenario has them. */
  readonly timeline?: string;
}

/** What a scenario made from options is called in messages. */
const NAME = 'options';

/** Keys that a file with a timeline may have. */
const TIMELINE_KEYS = ['timeline', 'live'];

/** Usual speeds of a line, baud; the least is that of the module that is played where none is named. */
const LEAST_BAUD = 9600;
const SPEEDS_BAUD = [LEAST_BAUD, 19_200, 38_400, 57_600, 115_200, 230_400, 460_800, 921_600];

/** Stands for `now` where only the kind of a mistake matters. */
const SOME_UTC_MS = utcMsOf({ year: 2024, month: 1, day: 1, hour: 0, minute: 0, second: 0 });

/**
 * The scenario of `replay`. It has a source text, as if it had been written. Where neither module nor speed is given,
 * the line is made as fast as it must be for each epoch to be out before the next.
 * @throws LodestubError `replay.…`, `scenario.…`, `module.…`
 */
export async function scenarioFromRecording(
  options: RecordingOptions,
  overrides: ScenarioOverrides = {},
): Promise<Scenario> {
  const recording = await recordingOf(options);
  const changes = { ...overrides, ...speedFor(recording, overrides) };
  const { text, file } = await written(options);
  const scenario = await readScenario(text, { file, baseFolder: '', overrides: changes, recording });
  return { ...scenario, file: null, source: { file: null, text, changes } };
}

async function recordingOf(options: RecordingOptions): Promise<Recording> {
  const { file: path, timing = 'stamps', shiftTime, longestGapS = Infinity } = options;
  const shift = shiftTime === undefined ? NO_SHIFT : atPath('--shift-time', () => parseShiftTime(shiftTime));
  const longestGapMs = longestGapS * 1000;
  const file = await findRecording(path, shownPath(path));
  const survey = surveyRecording(file, longestGapMs);
  checkTiming(timing, survey, file.path);
  const recording = { file, timing, shift, longestGapMs, survey };
  atPath('--shift-time', () => replayClock(recording, SPEEDS_BAUD[0] as number, SOME_UTC_MS));
  return recording;
}

/** The slowest usual speed that each epoch is out at before the next; none where somebody has chosen, or none does. */
function speedFor({ timing, survey }: Recording, { module, baud }: ScenarioOverrides): ScenarioOverrides {
  if (timing === 'line' || module !== undefined || baud !== undefined) return {};
  const needed = survey.mostBytesPerMs * 1000 * BITS_PER_BYTE;
  const speed = SPEEDS_BAUD.find((each) => each >= Math.max(LEAST_BAUD, needed)) ?? SPEEDS_BAUD.at(-1);
  return speed === undefined || speed === LEAST_BAUD ? {} : { baud: speed };
}

/** The scenario's text, and the file that it stands in. */
async function written(options: RecordingOptions): Promise<{ text: string; file: string }> {
  const { file, timing, shiftTime, longestGapS, timeline } = options;
  const settings = {
    file: resolve(file),
    ...(timing === undefined ? {} : { timing }),
    ...(shiftTime === undefined ? {} : { 'shift-time': shiftTime }),
    ...(longestGapS === undefined ? {} : { 'longest-gap': `${longestGapS} s` }),
  };
  const head = { lodestub: 1, title: `The recording ${basename(file)}`.slice(0, 120), recording: settings };
  if (timeline === undefined) return { text: stringify(head), file: NAME };
  const entries = await readEntries(timeline);
  // Behind the user's own lines, so that what is wrong with them is found where it stands.
  const isBlock = /^(?:timeline|live):/m.test(entries) && !/^(?:\.\.\.|\{)/m.test(entries);
  if (isBlock) return { text: `${entries.trimEnd()}\n${stringify(head)}`, file: timeline };
  const document = parseDocument(entries, { version: '1.2', logLevel: 'error' });
  for (const [key, value] of Object.entries(head)) document.set(key, value);
  return { text: String(document), file: timeline };
}

/** The text of a file with a timeline alone. @throws LodestubError `scenario.…` */
async function readEntries(path: string): Promise<string> {
  let text: string;
  try {
    text = await NODE_FILES.readText(path);
  } catch (error) {
    const hint = 'Name a YAML file with a list timeline, as a scenario has it.';
    throw new LodestubError({ code: 'scenario.missing', path, summary: readFailure(error), hint, cause: error });
  }
  const document = readYaml(text, path, 'scenario');
  const other = Object.keys(document.value).find((key) => !TIMELINE_KEYS.includes(key));
  if (other === undefined) return text;
  const summary = `the key ${other.slice(0, 60)} is not known beside a recording that was named by itself`;
  const hint = `A file for --timeline has the keys ${TIMELINE_KEYS.join(' and ')}.`;
  throw report(document, [mistake(document, [other], { kind: 'unknown-key', summary, hint }, true)]);
}
