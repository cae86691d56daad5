import { SECONDS_PER_DAY } from '../base/constants.js';
import { LodestubError } from '../base/error.js';
import { formatQuantity, parseQuantity } from '../base/quantity.js';
import { dateOfDay, dayNumberOf, parseUtc } from '../base/time.js';
import { utcMsOf } from '../base/utc-ms.js';

/**
 * What becomes of the times and dates in a recording: nothing; they are moved by so long; the first dated epoch comes
 * to a time, or to that day at its own time of day; or all is moved so that the recording begins now.
 */
export type ShiftTime =
  | { readonly kind: 'none' }
  | { readonly kind: 'by'; readonly shiftS: number }
  | { readonly kind: 'to'; readonly utcMs: number }
  | { readonly kind: 'to-day'; readonly dayNumber: number }
  | { readonly kind: 'now' };

/** Times stay as they are. */
export const NO_SHIFT: ShiftTime = { kind: 'none' };

/** The longest shift, s: two hundred years. */
const LONGEST_SHIFT_S = 200 * 366 * SECONDS_PER_DAY;

/** The years that two digits stand for, as most hosts read them. */
const FIRST_YEAR = 1980;
const LAST_YEAR = 2079;

/** What to say was expected. */
export const SHIFT_EXPECTED =
  'a time in UTC such as 2027-04-01T12:00:00Z, a day such as 2027-04-01, now, or a duration of whole seconds such as ' +
  '+1024 weeks or -7 d';

const WEEKS = /^([+-]?\d+(?:\.\d+)?)\s*(?:w|week|weeks)$/;
const DAY = /^(\d{4})-(\d{2})-(\d{2})$/;

/**
 * Reads what times are to be shifted by, or to.
 * @throws LodestubError `replay.shift`
 */
export function parseShiftTime(text: string): ShiftTime {
  const trimmed = text.trim();
  if (trimmed === 'now') return { kind: 'now' };
  try {
    if (DAY.test(trimmed)) {
      const day = parseUtc(`${trimmed}T00:00:00Z`);
      return { kind: 'to-day', dayNumber: dayNumberOf(day.year, day.month, day.day) };
    }
    if (/^\d{4}-/.test(trimmed)) return { kind: 'to', utcMs: utcMsOf(parseUtc(trimmed)) };
    const weeks = WEEKS.exec(trimmed)?.[1];
    const shiftS = weeks === undefined ? parseQuantity(trimmed, 'duration') : Number(weeks) * 7 * SECONDS_PER_DAY;
    if (Number.isInteger(shiftS) && Math.abs(shiftS) <= LONGEST_SHIFT_S) return { kind: 'by', shiftS };
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
  }
  throw new LodestubError({
    code: 'replay.shift',
    path: 'shift-time',
    expected: SHIFT_EXPECTED,
    received: JSON.stringify(text).slice(0, 60),
  });
}

/** Where a recording's own time line stands. */
export interface RecordedClock {
  /** UTC at its beginning, ms since 1970-01-01; null: no sentence tells a date. */
  readonly startUtcMs: number | null;
  /** UTC of its first dated epoch. */
  readonly firstDatedUtcMs: number | null;
}

/**
 * By how much the times of a recording are moved, whole seconds.
 * @param nowMs what `now` stands for, ms since 1970-01-01
 * @throws LodestubError `replay.no-date`, `replay.shift`
 */
export function shiftOf(shift: ShiftTime, { startUtcMs, firstDatedUtcMs }: RecordedClock, nowMs: number): number {
  if (shift.kind === 'none') return 0;
  if (firstDatedUtcMs === null || startUtcMs === null) {
    if (shift.kind === 'by') return shift.shiftS;
    throw new LodestubError({
      code: 'replay.no-date',
      path: 'shift-time',
      summary: 'no sentence of the recording tells a date that could become another one',
      hint: 'Move its times by a duration, such as +2 h.',
    });
  }
  const shiftS = secondsTo(shift, startUtcMs, firstDatedUtcMs, nowMs);
  const { year } = dateOfDay(Math.floor((firstDatedUtcMs / 1000 + shiftS) / SECONDS_PER_DAY));
  if (year >= FIRST_YEAR && year <= LAST_YEAR) return shiftS;
  throw new LodestubError({
    code: 'replay.shift',
    path: 'shift-time',
    expected: `dates in the years ${FIRST_YEAR} to ${LAST_YEAR}, which two digits can tell`,
    received: `the year ${year} after a shift by ${formatQuantity(shiftS, 'duration')}`,
  });
}

/** Decimals of the recorded seconds stay as they are. */
function secondsTo(
  shift: Exclude<ShiftTime, { kind: 'none' }>,
  startUtcMs: number,
  firstDatedUtcMs: number,
  nowMs: number,
): number {
  const firstS = Math.floor(firstDatedUtcMs / 1000);
  switch (shift.kind) {
    case 'by':
      return shift.shiftS;
    case 'to':
      return Math.floor(shift.utcMs / 1000) - firstS;
    case 'to-day':
      return (shift.dayNumber - Math.floor(firstS / SECONDS_PER_DAY)) * SECONDS_PER_DAY;
    case 'now':
      return Math.floor(nowMs / 1000) - Math.floor(startUtcMs / 1000);
  }
}
