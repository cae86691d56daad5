import { byteMsAt } from '../emit/line/transmission.js';
import type { Recording } from './recording.js';
import { type RecordedClock, shiftOf } from './shift-time.js';

/** A recording's time line as it was, before anything is moved. @param baud speed of the line that it is played at */
export function recordedClock({ timing, survey }: Recording, baud: number): RecordedClock {
  const { firstDate } = survey;
  if (firstDate === null) return { startUtcMs: null, firstDatedUtcMs: null };
  const { utcMs, atMs, offset } = firstDate;
  return { startUtcMs: utcMs - (timing === 'line' ? offset * byteMsAt(baud) : atMs), firstDatedUtcMs: utcMs };
}

/** Where the time line of a replay stands. */
export interface ReplayClock {
  /** The times in the recording are moved by so much, whole seconds. */
  readonly shiftS: number;
  /** UTC at the beginning, after the shift, ms since 1970-01-01, whole; null: the recording tells no date. */
  readonly startUtcMs: number | null;
}

/**
 * The time line of a replay.
 * @param nowMs what `now` stands for, ms since 1970-01-01
 * @throws LodestubError `replay.no-date`, `replay.shift`
 */
export function replayClock(recording: Recording, baud: number, nowMs: number): ReplayClock {
  const clock = recordedClock(recording, baud);
  const shiftS = shiftOf(recording.shift, clock, nowMs);
  return { shiftS, startUtcMs: clock.startUtcMs === null ? null : Math.round(clock.startUtcMs + shiftS * 1000) };
}

/** How long a recording lasts, ms; Infinity: it is too large to know before. */
export function recordedLengthMs({ timing, survey, file }: Recording, baud: number): number {
  if (timing === 'line') return file.size * byteMsAt(baud);
  return survey.isWhole ? survey.lengthMs : Infinity;
}
