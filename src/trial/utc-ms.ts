import { dayNumberOf } from '../base/time.js';

const UTC = /^(\d{4,6})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d(?:\.\d+)?)Z$/;
const DAY_MS = 86_400_000;

/**
 * A time as the journal writes it, ms since 1970-01-01; any second 60 is the first one of the next day, whether a leap
 * second was inserted there or not.
 * @throws RangeError for what is no such time
 */
export function utcMsOf(text: string): number {
  const match = UTC.exec(text);
  if (match === null) throw new RangeError(`not a time of a journal: ${text}`);
  const [year, month, day, hour, minute, second] = match.slice(1).map(Number) as [
    ...[number, number, number],
    ...[number, number, number],
  ];
  return dayNumberOf(year, month, day) * DAY_MS + Math.round((hour * 3600 + minute * 60 + second) * 1000);
}
