import { z } from 'zod';
import { LodestubError } from '../base/error.js';
import { quantity } from '../base/quantity-schema.js';
import { parseShiftTime, SHIFT_EXPECTED, type ShiftTime } from '../replay/shift-time.js';
import { MAX_DURATION_S } from './bounds.js';
import { type ChoiceProblem, choice, issue, strict, text } from './fields.js';

/** Where the times come from, in words. */
export const TIMINGS = ['stamps', 'line'] as const;

function shiftTime() {
  return z
    .unknown()
    .meta({
      type: 'string',
      description: 'Times and dates are moved: by a duration, or so that the first dated epoch comes to a time or day',
      examples: ['2027-04-01T12:00:00Z', '+1024 weeks', 'now'],
    })
    .transform((value, context): ShiftTime => {
      try {
        return parseShiftTime(typeof value === 'string' ? value : JSON.stringify(value));
      } catch (error) {
        if (!(error instanceof LodestubError)) throw error;
        context.issues.push(issue(value, { kind: 'type', expected: SHIFT_EXPECTED }));
        return z.NEVER;
      }
    });
}

const FILE = text(4096).describe('A recorded stream, relative to this file, plain or gzip');

const RECORDING = strict({
  file: FILE,
  timing: z
    .enum(TIMINGS)
    .default('stamps')
    .describe('By the times in its sentences, or all back to back at the speed of the line'),
  'shift-time': shiftTime().optional(),
  'longest-gap': quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('A longer silence lasts only so long; default: each lasts as it was'),
});

const selectRecording = (value: unknown): number | ChoiceProblem => {
  if (typeof value === 'string') return 0;
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 1;
  return { kind: 'type', expected: 'a recorded stream (./field.nmea), or a mapping with file and timing' };
};

/** The definition of `recording`: a file, or a mapping. */
export function recording() {
  return choice([FILE, RECORDING], selectRecording);
}

/** What the schema gives. */
export type RawRecording = z.output<ReturnType<typeof recording>>;
