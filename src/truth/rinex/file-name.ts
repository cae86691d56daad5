import { dayNumberOf, type GpsTime } from '../../base/time.js';
import { calendarOf, two } from './format.js';

/** What a RINEX file's long name tells. */
export interface NamedRun {
  /** Of the first epoch. */
  readonly start: GpsTime;
  /** s; Infinity: unknown. */
  readonly durationS: number;
  readonly intervalMs: number;
}

/** Station, monument and receiver number, and no country; U: neither of a receiver's own file nor of a stream. */
const STATION = 'LODE00XXX_U';

/** Longest period in each unit, since two digits tell it. */
const MOST = 99;

/**
 * Names of the observation and the navigation file: LODE00XXX_U_20260330930_01H_01S_MO.rnx.
 * Source: RINEX 3.04, section 4, table 2, and table A1.
 */
export function rinexNames({ start, durationS, intervalMs }: NamedRun): { observation: string; navigation: string } {
  const { year, month, day, hour, minute } = calendarOf({ ...start, towS: Math.floor(start.towS) }, 1);
  const dayOfYear = dayNumberOf(year, month, day) - dayNumberOf(year, 1, 1) + 1;
  const begin = `${year}${String(dayOfYear).padStart(3, '0')}${two(hour)}${two(minute)}`;
  const common = `${STATION}_${begin}_${periodOf(durationS)}`;
  return { observation: `${common}_${frequencyOf(intervalMs)}_MO.rnx`, navigation: `${common}_MN.rnx` };
}

/** Whole hours and days as such, else minutes that hold the run; 00U where two digits do not tell it. */
function periodOf(durationS: number): string {
  const minutes = Math.max(1, Math.ceil(durationS / 60 - 1e-9));
  if (minutes % 1440 === 0 && minutes <= MOST * 1440) return `${two(minutes / 1440)}D`;
  if (minutes % 60 === 0 && minutes <= MOST * 60) return `${two(minutes / 60)}H`;
  if (minutes <= MOST) return `${two(minutes)}M`;
  const hours = Math.ceil(minutes / 60);
  if (hours <= MOST) return `${two(hours)}H`;
  const days = Math.ceil(hours / 24);
  return days <= MOST ? `${two(days)}D` : '00U';
}

/** S: seconds, M: minutes, Z: Hz, C: hundreds of Hz; 00U where none of them is a whole number. */
function frequencyOf(intervalMs: number): string {
  const units: ReadonlyArray<readonly [number, string]> = [
    [intervalMs / 1000, 'S'],
    [intervalMs / 60_000, 'M'],
    [1000 / intervalMs, 'Z'],
    [10 / intervalMs, 'C'],
  ];
  for (const [count, letter] of units) {
    if (Number.isInteger(count) && count >= 1 && count <= MOST) return `${two(count)}${letter}`;
  }
  return '00U';
}
