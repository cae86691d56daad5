import type { RecordingFile } from './recording-file.js';
import type { ShiftTime } from './shift-time.js';
import type { Survey } from './survey.js';

/**
 * Where a recording's times come from: `stamps`: the times in its sentences, `line`: all goes out back to back at the
 * line's speed.
 */
export type Timing = 'stamps' | 'line';

/** A recorded stream that is played in place of a simulated receiver. */
export interface Recording {
  readonly file: RecordingFile;
  readonly timing: Timing;
  /** What happens to the times and dates in its sentences. */
  readonly shift: ShiftTime;
  /** A longer silence lasts only so long, ms; Infinity: each lasts as it was. */
  readonly longestGapMs: number;
  readonly survey: Survey;
}
