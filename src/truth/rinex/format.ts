import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from '../../base/constants.js';
import { dateOfDay, GPS_EPOCH_DAY, type GpsTime, type Utc } from '../../base/time.js';
import { VERSION } from '../../base/version.js';

/** Where a header line's label begins (RINEX 3.04, section 2). */
const LABEL_COLUMN = 60;

/** Takes a file's text, piece by piece. */
export type TextSink = (text: string) => void;

/** A line of a header: what it says in columns 1 to 60, and its label. */
export function headerLine(content: string, label: string): string {
  if (content.length > LABEL_COLUMN) throw new Error(`too long for a header line of RINEX: ${content}`);
  return `${content.padEnd(LABEL_COLUMN)}${label}\n`;
}

/** What both files say of themselves first (RINEX 3.04, 5.8: the date's form). */
export function openingLines(type: string, madeAt: Utc): string {
  const { year, month, day, hour, minute, second } = madeAt;
  const date = `${year}${two(month)}${two(day)} ${two(hour)}${two(minute)}${two(Math.floor(second))} UTC`;
  const version = `     3.04           ${type.padEnd(20)}M (MIXED)`;
  return [
    headerLine(version, 'RINEX VERSION / TYPE'),
    headerLine(`${`Lodestub ${VERSION}`.padEnd(20)}${' '.repeat(20)}${date}`, 'PGM / RUN BY / DATE'),
    ...COMMENTS.map((text) => headerLine(text, 'COMMENT')),
  ].join('');
}

const COMMENTS = [
  'SIMULATED by Lodestub, for test and teaching only. No',
  'receiver measured this; the date above is the simulated one.',
  'Never use it for navigation, in an AIS or distress',
  'transmitter, or for a clock that others rely on.',
] as const;

/** GPS - UTC, s (RINEX 3.04, tables A2 and A5). */
export function leapLine(seconds: number): string {
  return headerLine(String(seconds).padStart(6), 'LEAP SECONDS');
}

/** A number in `F width.decimals`; blank where it does not fit or is none. */
export function fixed(value: number, width: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return Number.isFinite(value) && text.length <= width ? text.padStart(width) : ' '.repeat(width);
}

/** A number in `D width.decimals`, one digit before the point: 5.153600000000D+03. */
export function scientific(value: number, width: number, decimals: number): string {
  const [mantissa = '', exponent = ''] = value.toExponential(decimals).split('e');
  return `${mantissa}D${exponent.charAt(0)}${exponent.slice(1).padStart(2, '0')}`.padStart(width);
}

/** Two digits, filled with a zero. */
export function two(value: number): string {
  return value < 10 ? `0${value}` : String(value);
}

/** A date and a time of day of a scale without leap seconds; `ticks` count the fraction of the second. */
export interface Calendar {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  readonly hour: number;
  readonly minute: number;
  readonly second: number;
  readonly ticks: number;
}

/** A time as its own scale's calendar has it, rounded to `ticksPerS`-ths of a second with carry. */
export function calendarOf(time: GpsTime, ticksPerS: number): Calendar {
  const rounded = Math.round(time.towS * ticksPerS);
  const week = rounded >= SECONDS_PER_WEEK * ticksPerS ? time.week + 1 : time.week;
  const ofWeek = rounded - (week - time.week) * SECONDS_PER_WEEK * ticksPerS;
  const secondOfWeek = Math.floor(ofWeek / ticksPerS);
  const dayOfWeek = Math.floor(secondOfWeek / SECONDS_PER_DAY);
  const secondOfDay = secondOfWeek - dayOfWeek * SECONDS_PER_DAY;
  const hour = Math.floor(secondOfDay / 3600);
  const minute = Math.floor((secondOfDay - hour * 3600) / 60);
  return {
    ...dateOfDay(GPS_EPOCH_DAY + week * 7 + dayOfWeek),
    hour,
    minute,
    second: secondOfDay - hour * 3600 - minute * 60,
    ticks: ofWeek - secondOfWeek * ticksPerS,
  };
}
