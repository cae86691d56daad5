import type { Timing } from '../replay/recording.js';
import { type RunOptions, runCommand } from './run-command.js';

/** What `replay` takes beside the options of `run`. */
interface ReplayOptions extends RunOptions {
  readonly timing?: Timing;
  readonly shiftTime?: string;
  /** s */
  readonly longestGap?: number;
  readonly timeline?: string;
}

/** `lodestub replay`: a recorded stream on a port, in its own time. @returns the exit code */
export function replayCommand(file: string, options: ReplayOptions): Promise<number> {
  const { timing, shiftTime, longestGap, timeline, ...run } = options;
  const recording = {
    file,
    ...(timing === undefined ? {} : { timing }),
    ...(shiftTime === undefined ? {} : { shiftTime }),
    ...(longestGap === undefined ? {} : { longestGapS: longestGap }),
    ...(timeline === undefined ? {} : { timeline }),
  };
  return runCommand(undefined, { ...run, recording });
}
