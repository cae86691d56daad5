import { DateTime } from 'luxon';
import type { ReportsTime } from './reports-settings.js';
import { shown } from './shown.js';

/**
 * A time that was read, or what is wrong with it: a clause without a full stop. A date is told by the text, or it is
 * the one nearest to now.
 */
export type ReadTime = { readonly utcMs: number; readonly isDateTold: boolean } | { readonly why: string };

type CalendarTime = Extract<ReportsTime, { kind: 'calendar' }>;

/** Years that a report may tell; receivers' default dates of 1970, 1980 and 1999 are among them. */
const YEARS = [1900, 2300] as const;
const TIME_OF_DAY = new RegExp(
  [
    /^T?(?:(?:[01]\d|2[0-4]):[0-5]\d(?::[0-6]\d(?:[.,]\d+)?)?|(?:[01]\d|2[0-4])[0-5]\d[0-6]\d(?:[.,]\d+)?)/,
    /\s*(?:Z|[+-]\d{2}(?::?\d{2})?)?$/,
  ]
    .map(({ source }) => source)
    .join(''),
  'i',
);
/** The form that most hosts write (RFC 3339, 5.6), in UTC. */
const PLAIN_UTC = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d:\d\d(?:\.\d+)?)(Z?)$/;
/** Second 60, with what stands before and after it. */
const LEAP_SECOND = /^(.*\d:?[0-5]\d:?)60(?!\d)(.*)$/;
/** Tokens of Luxon that tell a day; what stands in quotes is no token. */
const DAY_TOKENS = /[yLMdDokWGfFX]/;

/**
 * Reads a time of a report.
 * @param value text or a number, never blank
 * @param nowMs simulated UTC, ms since 1970: a time of day is taken for the nearest date, and one that a change of
 *   clocks makes ambiguous for the nearest of both
 */
export function readTime(value: unknown, settings: ReportsTime, nowMs: number): ReadTime {
  if (settings.kind === 'arrival') return { why: 'no time is read' };
  if (settings.kind !== 'calendar') return unixTime(value, settings.kind);
  if (typeof value !== 'string') {
    const unit =
      typeof value === 'number' ? ` (time: ${Math.abs(value) > 1e11 ? 'unix-ms' : 'unix-s'} reads such)` : '';
    return { why: `the time ${shown(value)} is no text${unit}` };
  }
  const text = value.trim();
  const plain = plainUtc(text, settings);
  if (plain !== null) return { utcMs: plain, isDateTold: true };
  const leap = settings.form === null ? LEAP_SECOND.exec(text) : null;
  const read = calendarTime(leap === null ? text : `${leap[1]}59${leap[2]}`, settings, nowMs);
  // Second 60 is the first one of the next minute here, as it is with the sentences.
  if (leap !== null && 'utcMs' in read) return { ...read, utcMs: read.utcMs + 1000 };
  return 'why' in read ? { why: `the time ${shown(value)} ${read.why}` } : read;
}

/** A hundred times faster than to let a calendar do it; null: it is not written so, or does not exist. */
function plainUtc(text: string, { zone, form }: CalendarTime): number | null {
  const [, day, time, zulu] = PLAIN_UTC.exec(text) ?? [];
  if (form !== null || day === undefined || (zulu === '' && zone !== 'UTC')) return null;
  const utcMs = Date.parse(`${day}T${time}Z`);
  // Date takes some days over that a month does not have.
  const exists = isOfOurEra(utcMs) && new Date(utcMs).toISOString().startsWith(day);
  return exists ? utcMs : null;
}

function unixTime(value: unknown, kind: 'unix-s' | 'unix-ms'): ReadTime {
  const isNumber = typeof value === 'number' || (typeof value === 'string' && /^\s*-?\d+(\.\d*)?\s*$/.test(value));
  if (!isNumber)
    return { why: `the time ${shown(value)} is no number of ${kind === 'unix-s' ? 's' : 'ms'} since 1970` };
  const utcMs = Math.round(Number(value) * (kind === 'unix-s' ? 1000 : 1));
  if (isOfOurEra(utcMs)) return { utcMs, isDateTold: true };
  const hint = kind === 'unix-s' && isOfOurEra(Number(value)) ? ' (time: unix-ms reads such)' : '';
  return { why: `the time ${shown(value)} is not within the years ${YEARS[0]} to ${YEARS[1]}${hint}` };
}

function isOfOurEra(utcMs: number): boolean {
  return utcMs >= Date.UTC(YEARS[0], 0) && utcMs < Date.UTC(YEARS[1], 0);
}

function calendarTime(text: string, { zone, form }: CalendarTime, nowMs: number): ReadTime {
  const read = (written: string, format: string | null, inZone: string) => {
    // A zone that the text names counts, and keeps its calendar fields as they are written.
    const options = { zone: inZone, setZone: true, locale: 'en-US' };
    return format === null ? DateTime.fromISO(written, options) : DateTime.fromFormat(written, format, options);
  };
  const at = (written: string, format: string | null) =>
    placed(read(written, format, zone), read(written, format, 'UTC'));
  if (form !== null && !DAY_TOKENS.test(form.replace(/'[^']*'/g, ''))) {
    return nearestDay(zone, nowMs, (day) => at(`${day} ${text}`, `yyyy-MM-dd ${form}`), form);
  }
  if (form !== null) return nearestOf(at(text, form), nowMs, form);
  if (TIME_OF_DAY.test(text)) {
    const time = text.replace(/^T/i, '').replace(/\s+/g, '');
    const isBasic = !time.includes(':') || /^\d{4,6}(?=[.,Z+-])/i.test(time);
    const date = (day: string) => (isBasic ? day.replace(/-/g, '') : day);
    return nearestDay(zone, nowMs, (day) => at(`${date(day)}T${time}`, null), null);
  }
  if (!/\d[T ]\s*\d/i.test(text)) return { why: 'is no date and time in ISO 8601' };
  // A space for the T is common practice (RFC 3339, 5.6, note).
  const iso = text.replace(/\s+(?=Z|[+-]\d)/i, '').replace(/^(\S+)\s+(?=\d)/, '$1T');
  return nearestOf(at(iso, null), nowMs, null);
}

/** The moments that a text may mean, ms since 1970: two in the hour that comes twice, none in the one left out. */
type Placed = { readonly momentsMs: readonly number[]; readonly time: DateTime };

/** @param asUtc the same text read in UTC: its calendar fields are those that are written */
function placed(time: DateTime, asUtc: DateTime): Placed {
  if (!time.isValid || !asUtc.isValid) return { momentsMs: [], time };
  if (time.zone.isUniversal) return { momentsMs: [time.toMillis()], time };
  const isMoved =
    time.setZone('UTC', { keepLocalTime: true }).toMillis() !== asUtc.toMillis() && !time.zone.isUniversal;
  return { momentsMs: isMoved ? [] : time.getPossibleOffsets().map((each) => each.toMillis()), time };
}

/** The time of day at the date at which it is nearest to now. */
function nearestDay(zone: string, nowMs: number, at: (day: string) => Placed, form: string | null): ReadTime {
  const today = DateTime.fromMillis(nowMs, { zone });
  const all = [0, -1, 1].map((days) => at(today.plus({ days }).toFormat('yyyy-MM-dd')));
  const momentsMs = all.flatMap((each) => each.momentsMs);
  const read = nearestOf({ momentsMs, time: (all[0] as Placed).time }, nowMs, form);
  return 'why' in read ? read : { ...read, isDateTold: false };
}

function nearestOf({ momentsMs, time }: Placed, nowMs: number, form: string | null): ReadTime {
  if (!time.isValid) {
    const reason = time.invalidReason === 'unit out of range' ? ` (${time.invalidExplanation})` : '';
    return { why: `is no time ${form === null ? 'in ISO 8601' : `as ${form}`}${reason}` };
  }
  const [utcMs] = [...momentsMs].sort((a, b) => Math.abs(a - nowMs) - Math.abs(b - nowMs));
  if (utcMs === undefined) return { why: `does not exist in ${time.zoneName}: the clocks go forward there` };
  return isOfOurEra(utcMs)
    ? { utcMs, isDateTold: true }
    : { why: `is not within the years ${YEARS[0]} to ${YEARS[1]}` };
}
