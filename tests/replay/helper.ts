import { stringify } from 'yaml';
import type { Recording, Timing } from '../../src/replay/recording.js';
import { type RecordingFile, recordingOfBytes } from '../../src/replay/recording-file.js';
import { NO_SHIFT, parseShiftTime } from '../../src/replay/shift-time.js';
import { SentenceShifter } from '../../src/replay/shifted-sentence.js';
import { surveyRecording } from '../../src/replay/survey.js';
import { ModuleRun } from '../../src/run/module-run.js';
import type { EpochStep } from '../../src/run/output.js';
import { readScenario } from '../../src/scenario/read.js';
import type { Scenario } from '../../src/scenario/scenario.js';
import { type Proof, prove } from '../../src/truth/prove.js';

/** Logs of receivers (AeroRust/nmea test data, Apache-2.0), below the folder of open data. */
export const COLD_TO_FIX = 'logs/four-system-v410-cold-to-fix.nmea';
export const AIRBORNE = 'logs/two-system-airborne.nmea.gz';

/** Bytes of a text, a byte a character. */
export const latin1 = (text: string): Buffer => Buffer.from(text, 'latin1');

/** How a recording is played in a test. */
export interface ReplayOptions {
  readonly timing?: Timing;
  readonly shiftTime?: string;
  readonly longestGapS?: number;
  readonly baud?: number;
  readonly durationS?: number;
  readonly timeline?: readonly object[];
  /** The time is told in pieces of this length, ms. */
  readonly cutMs?: number;
  /** Called after each piece. */
  readonly onCut?: (run: ModuleRun) => void;
  readonly more?: Readonly<Record<string, unknown>>;
}

/** A recording of bytes that are in memory. */
export function recordingOf(file: RecordingFile | Uint8Array, options: ReplayOptions = {}): Recording {
  const found = 'open' in file ? file : recordingOfBytes(file);
  const longestGapMs = (options.longestGapS ?? Infinity) * 1000;
  return {
    file: found,
    timing: options.timing ?? 'stamps',
    shift: options.shiftTime === undefined ? NO_SHIFT : parseShiftTime(options.shiftTime),
    longestGapMs,
    survey: surveyRecording(found, longestGapMs),
  };
}

/** The scenario that plays it; the line is fast unless the test says otherwise. */
export async function scenarioOf(file: RecordingFile | Uint8Array, options: ReplayOptions = {}): Promise<Scenario> {
  const { timeline = [], durationS, baud = 115_200, more = {} } = options;
  const text = stringify({ lodestub: 1, title: 'A replay', seed: 5, recording: 'memory', timeline, ...more });
  const overrides = { baud, ...(durationS === undefined ? {} : { durationS }) };
  return readScenario(text, { file: 'replay.yaml', baseFolder: '.', overrides, recording: recordingOf(file, options) });
}

/** A line of the journal. */
export type JournalLine = Readonly<Record<string, unknown>> & { readonly type: string };

/** What a replay gave. */
export interface Replayed {
  readonly bytes: Buffer;
  readonly lines: readonly string[];
  readonly journal: readonly JournalLine[];
  readonly steps: readonly EpochStep[];
  readonly run: ModuleRun;
}

/** Stands for `now`: 2026-05-04T03:02:01Z. */
export const NOW = { year: 2026, month: 5, day: 4, hour: 3, minute: 2, second: 1 };

/** Plays a recording to its end, by told time. */
export async function replay(file: RecordingFile | Uint8Array, options: ReplayOptions = {}): Promise<Replayed> {
  return playScenario(await scenarioOf(file, options), options);
}

export function playScenario(scenario: Scenario, { cutMs = Infinity, onCut }: ReplayOptions = {}): Replayed {
  const chunks: Buffer[] = [];
  const lines: string[] = [];
  const steps: EpochStep[] = [];
  const run = new ModuleRun(scenario, {
    now: NOW,
    send: (bytes) => chunks.push(latin1(bytes)),
    journal: (line) => lines.push(line),
    onStep: (step) => steps.push(step),
  });
  for (let nowMs = cutMs; !run.isOver; nowMs += cutMs) {
    run.advanceTo(nowMs);
    onCut?.(run);
  }
  run.finish();
  const journal = lines.map((line) => JSON.parse(line) as JournalLine);
  return { bytes: Buffer.concat(chunks), lines, journal, steps, run };
}

/** Holds bytes against a journal. */
export function proofOf(lines: readonly string[], bytes: Uint8Array): Proof {
  return prove(reader(Buffer.from(`${lines.join('\n')}\n`)), reader(bytes), { file: 'journal' });
}

function reader(bytes: Uint8Array): (into: Uint8Array) => number {
  let from = 0;
  return (into) => {
    const part = bytes.subarray(from, from + into.length);
    into.set(part);
    from += part.length;
    return part.length;
  };
}

/** Records of one type. */
export function recordsOf(journal: readonly JournalLine[], type: string): JournalLine[] {
  return journal.filter((line) => line.type === type);
}

/** A sentence with its checksum, by an exclusive or of its own, and CR LF. */
export function sentence(body: string, ending = '\r\n'): string {
  const sum = [...body].reduce((xor, character) => xor ^ character.charCodeAt(0), 0);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, '0')}${ending}`;
}

/** RMC and GGA of a time `hhmmss.ss`, as most modules send them. */
export function epochText(time: string, date = '180222'): string {
  const place = '5223.0000,N,00943.0000,E';
  return (
    sentence(`GNRMC,${time},A,${place},0.1,90.0,${date},,,A`) +
    sentence(`GNGGA,${time},${place},1,09,0.9,84.0,M,46.0,M,,`)
  );
}

/** One sentence after a shift by whole seconds. */
export function shifted(text: string, shiftS: number): string {
  return new SentenceShifter(shiftS, null).shift(text);
}
