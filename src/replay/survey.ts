import { LodestubError } from '../base/error.js';
import { DAY_MS } from '../base/utc-ms.js';
import { Pacer, stepBetween, type TimedGroup } from './pacer.js';
import { type GroupSource, RecordedGroups } from './recorded-groups.js';
import type { Timing } from './recording.js';
import type { RecordingFile } from './recording-file.js';

/** So much of a recording is looked at before it is played, bytes: all of most of them. */
const MOST_BYTES = 16 << 20;
/** So many steps between stamps tell the usual interval. */
const ENOUGH_STEPS = 500;
/** Where no two stamps tell one, ms: common practice. */
const DEFAULT_INTERVAL_MS = 1000;

/** Where a recording tells a time first. */
export interface FirstTold {
  /** UTC, ms since 1970-01-01; of a time alone, ms of the day. */
  readonly utcMs: number;
  /** Its group's time by the stamps, and the bytes before its group. */
  readonly atMs: number;
  readonly offset: number;
}

/** What is known of a recording before it is played; where it is large, of its beginning. */
export interface Survey {
  /** Bytes that were looked at. */
  readonly bytes: number;
  /** All of it was. */
  readonly isWhole: boolean;
  readonly groups: number;
  readonly sentences: number;
  /** Sentences whose checksum is wrong or cannot be read. */
  readonly damaged: number;
  /** Bytes that belong to no sentence and its line end. */
  readonly noiseBytes: number;
  /** Groups that tell the time. */
  readonly stamped: number;
  /** Usual interval of groups, ms. */
  readonly intervalMs: number;
  /** From the beginning to the end of the last group's interval, by the stamps, ms. */
  readonly lengthMs: number;
  /** Longest time between two groups, by the stamps, ms. */
  readonly longestGapMs: number;
  /** Steps between stamps that do not count as time, and silences that are shortened. */
  readonly clockSets: number;
  readonly shortened: number;
  /** The most bytes for each ms that one group has until the next one, or half an interval where that comes sooner. */
  readonly mostBytesPerMs: number;
  /** The first group with a time of day, and with a date too; null: none has. */
  readonly firstStamp: FirstTold | null;
  readonly firstDate: FirstTold | null;
  /** Lines end in LF alone: something has taken the CR of the recording. */
  readonly hasBareLineFeeds: boolean;
}

/**
 * Looks at a recording before it is played.
 * @param longestGapMs a longer silence lasts only so long, ms
 * @param mostBytes so much is looked at
 * @throws LodestubError `replay.read`
 */
export function surveyRecording(file: RecordingFile, longestGapMs: number, mostBytes = MOST_BYTES): Survey {
  const intervalMs = usualInterval(file, mostBytes);
  const groups = new RecordedGroups(file);
  const pacer = new Pacer(groups, intervalMs, longestGapMs);
  const surveyor = new Surveyor(intervalMs);
  try {
    for (let timed = pacer.next(); timed !== null; timed = pacer.next()) {
      surveyor.add(timed);
      if (surveyor.bytes >= mostBytes) break;
    }
    const isWhole = pacer.peek() === null;
    return surveyor.survey(isWhole, pacer);
  } finally {
    groups.close();
  }
}

/**
 * Checks that a recording can be played as is wished.
 * @throws LodestubError `replay.no-sentences`, `replay.no-stamps`
 */
export function checkTiming(timing: Timing, { sentences, stamped, isWhole, bytes }: Survey, path: string): void {
  if (timing === 'line' || stamped > 0) return;
  const where = isWhole ? 'in it' : `in its first ${bytes} bytes`;
  const hint = 'Play it at the speed of the line: timing line.';
  if (sentences === 0) {
    const summary = `there is no NMEA sentence ${where}: it is something else, or was recorded at another speed`;
    throw new LodestubError({ code: 'replay.no-sentences', path, summary, hint });
  }
  const summary = `none of its sentences tells the time ${where}`;
  throw new LodestubError({ code: 'replay.no-stamps', path, summary, hint });
}

/** Median of the intervals that stamps tell, ms. */
function usualInterval(file: RecordingFile, mostBytes: number): number {
  const groups = new RecordedGroups(file);
  try {
    return medianInterval(groups, () => groups.readBytes >= mostBytes);
  } finally {
    groups.close();
  }
}

function medianInterval(source: GroupSource, isEnough: () => boolean): number {
  const stepsMs: number[] = [];
  let last: ReturnType<GroupSource['next']> = null;
  let since = 0;
  for (let group = source.next(); group !== null; group = source.next()) {
    since++;
    if (group.timeOfDayMs === null) continue;
    const stepMs = last === null ? null : stepBetween(last, group);
    // Groups with the same stamp share the time up to the next one.
    if (stepMs === 0) continue;
    if (stepMs !== null && stepMs > 0) stepsMs.push(stepMs / since);
    last = group;
    since = 0;
    if (stepsMs.length >= ENOUGH_STEPS || isEnough()) break;
  }
  stepsMs.sort((a, b) => a - b);
  const median = stepsMs[Math.floor(stepsMs.length / 2)] ?? DEFAULT_INTERVAL_MS;
  return Math.max(1, Math.round(median * 1000) / 1000);
}

class Surveyor {
  readonly #intervalMs: number;
  bytes = 0;
  #groups = 0;
  #sentences = 0;
  #damaged = 0;
  #noiseBytes = 0;
  #stamped = 0;
  #last: TimedGroup | null = null;
  #longestGapMs = 0;
  #mostBytesPerMs = 0;
  #firstStamp: FirstTold | null = null;
  #firstDate: FirstTold | null = null;
  #lines = 0;
  #bareLines = 0;

  constructor(intervalMs: number) {
    this.#intervalMs = intervalMs;
  }

  add(timed: TimedGroup): void {
    const { group, atMs, utcMs } = timed;
    const told = { atMs, offset: this.bytes };
    if (utcMs !== null) this.#firstDate ??= { utcMs, ...told };
    if (group.timeOfDayMs !== null) {
      this.#stamped++;
      this.#firstStamp ??= { utcMs: group.timeOfDayMs, ...told };
    }
    this.#groups++;
    this.bytes += group.byteCount;
    this.#sentences += group.sentenceCount;
    this.#damaged += group.damagedCount;
    for (const { kind, text, ending } of group.pieces) {
      if (kind === 'noise') this.#noiseBytes += text.length + ending.length;
      else if (ending !== '') this.#lines++;
      if (kind === 'sentence' && ending === '\n') this.#bareLines++;
    }
    if (this.#last !== null) this.#between(this.#last, atMs - this.#last.atMs);
    this.#last = timed;
  }

  survey(isWhole: boolean, { clockSets, shortened }: Pacer): Survey {
    if (this.#last !== null) this.#mostPer(this.#last.group.byteCount / this.#intervalMs);
    return {
      bytes: this.bytes,
      isWhole,
      groups: this.#groups,
      sentences: this.#sentences,
      damaged: this.#damaged,
      noiseBytes: this.#noiseBytes,
      stamped: this.#stamped,
      intervalMs: this.#intervalMs,
      lengthMs: this.#last === null ? 0 : this.#last.atMs + this.#intervalMs,
      longestGapMs: this.#longestGapMs,
      clockSets,
      shortened,
      mostBytesPerMs: this.#mostBytesPerMs,
      firstStamp: this.#firstStamp,
      firstDate: this.#firstDate,
      hasBareLineFeeds: this.#bareLines > this.#lines / 2,
    };
  }

  #between({ group }: TimedGroup, gapMs: number): void {
    this.#longestGapMs = Math.max(this.#longestGapMs, gapMs);
    // Groups close together, as of two receivers on one line, may well be late.
    this.#mostPer(group.byteCount / Math.max(this.#intervalMs / 2, gapMs));
  }

  #mostPer(bytesPerMs: number): void {
    this.#mostBytesPerMs = Math.max(this.#mostBytesPerMs, bytesPerMs);
  }
}

/** The time of day that the recording begins at, by its first stamp, ms; null: it has none. */
export function firstOfDayMs({ firstStamp }: Pick<Survey, 'firstStamp'>): number | null {
  if (firstStamp === null) return null;
  const ms = firstStamp.utcMs - firstStamp.atMs;
  return ms - Math.floor(ms / DAY_MS) * DAY_MS;
}
