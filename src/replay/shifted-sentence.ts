import { SECONDS_PER_DAY } from '../base/constants.js';
import { dateOfDay, dayNumberOf } from '../base/time.js';
import { checksum } from '../emit/sentences/checksum.js';

/** Where the time stands, counted from the field after the address, and the date (NMEA 0183, second hand). */
interface TimeFields {
  readonly time: number;
  /** `ddmmyy` in one field, or day, month and year in three. */
  readonly date?: readonly [number] | readonly [number, number, number];
}

const FIELDS: Readonly<Record<string, TimeFields>> = {
  GGA: { time: 1 },
  GNS: { time: 1 },
  GLL: { time: 5 },
  RMC: { time: 1, date: [9] },
  ZDA: { time: 1, date: [2, 3, 4] },
  GST: { time: 1 },
  GBS: { time: 1 },
  GRS: { time: 1 },
};

const TIME = /^([01]\d|2[0-3])([0-5]\d)([0-5]\d|60)((?:\.\d*)?)$/;
/** What begins with P is a maker’s own. */
const ADDRESS = /^\$[A-OQ-Z][A-Z0-9]([A-Z]{3}),/;

/** A time of day as a field has it. */
interface FieldTime {
  /** Whole seconds since midnight; 86400 and above in a leap second. */
  readonly ofDayS: number;
  /** With the point; empty: none. */
  readonly decimals: string;
}

/**
 * Moves the times and dates in sentences, whatever their talker. Times keep the form of their decimals, years of two
 * digits stay so, and a date turns where its sentence's own time does; one beside a blank time goes with the time that
 * was told last. A field that is blank or cannot be read is left alone, and so is all else, sentences of makers and
 * what is no sentence too. The checksum is made anew in the case it had. One that was wrong stays wrong: it differs
 * from the right one in the same bits as before. Where there is none, or none that can be read, what stands there
 * stays.
 *
 * Second 60 is the first of the next minute, which then comes twice; moved by whole days it is left as it is.
 */
export class SentenceShifter {
  readonly #shiftS: number;
  readonly #isWholeDays: boolean;
  /** Time of day told last, before the shift, s. */
  #ofDayS: number;
  /** Of the checksums that had a letter, the last one's was small. */
  #isLower = false;

  /**
   * @param shiftS whole seconds
   * @param firstOfDayMs the first time of day that the stream tells; null: none
   */
  constructor(shiftS: number, firstOfDayMs: number | null) {
    this.#shiftS = shiftS;
    this.#isWholeDays = shiftS % SECONDS_PER_DAY === 0;
    this.#ofDayS = firstOfDayMs === null ? 0 : Math.floor(firstOfDayMs / 1000);
  }

  /** @param text from `$` on, without CR LF, a character a byte */
  shift(text: string): string {
    if (this.#shiftS === 0) return text;
    const star = text.lastIndexOf('*');
    const given = star < 0 ? '' : text.slice(star + 1);
    if (/[A-Fa-f]/.test(given)) this.#isLower = given !== given.toUpperCase();
    const places = FIELDS[ADDRESS.exec(text)?.[1] ?? ''];
    if (places === undefined) return text;
    const body = text.slice(1, star < 0 ? undefined : star);
    const fields = body.split(',');
    this.#shiftFields(fields, places);
    const shifted = fields.join(',');
    if (shifted === body) return text;
    return `$${shifted}${star < 0 ? '' : `*${this.#checksum(body, shifted, given)}`}`;
  }

  #shiftFields(fields: string[], { time, date }: TimeFields): void {
    const told = timeFrom(fields[time]);
    if (told !== null) this.#ofDayS = told.ofDayS;
    const movedS = this.#ofDayS + this.#shiftS;
    if (told !== null && !this.#isWholeDays) fields[time] = timeText(movedS, told.decimals);
    if (date === undefined) return;
    // In a leap second, of a shift by whole days, it is still the old day.
    const days = this.#isWholeDays ? this.#shiftS / SECONDS_PER_DAY : Math.floor(movedS / SECONDS_PER_DAY);
    if (days !== 0) shiftDate(fields, date, days);
  }

  #checksum(body: string, shifted: string, given: string): string {
    if (!/^[0-9A-Fa-f]{2}$/.test(given)) return given;
    const wrongBits = Number.parseInt(given, 16) ^ Number.parseInt(checksum(body), 16);
    const made = (Number.parseInt(checksum(shifted), 16) ^ wrongBits).toString(16).padStart(2, '0');
    const isLower = /[A-Fa-f]/.test(given) ? given !== given.toUpperCase() : this.#isLower;
    return isLower ? made : made.toUpperCase();
  }
}

function timeFrom(text: string | undefined): FieldTime | null {
  const [, hour, minute, second, decimals] = TIME.exec(text ?? '') ?? [];
  if (hour === undefined || decimals === undefined) return null;
  return { ofDayS: Number(hour) * 3600 + Number(minute) * 60 + Number(second), decimals };
}

function timeText(seconds: number, decimals: string): string {
  const ofDayS = seconds - Math.floor(seconds / SECONDS_PER_DAY) * SECONDS_PER_DAY;
  const hour = Math.floor(ofDayS / 3600);
  const minute = Math.floor(ofDayS / 60) % 60;
  return `${pad(hour)}${pad(minute)}${pad(ofDayS % 60)}${decimals}`;
}

function shiftDate(fields: string[], places: readonly number[], days: number): void {
  const texts = places.map((place) => fields[place] ?? '');
  const moved = texts.length === 1 ? movedShort(texts[0] as string, days) : movedLong(texts, days);
  for (const [index, place] of places.entries()) if (moved !== null) fields[place] = moved[index] as string;
}

/** `ddmmyy`: years from 80 on are of the last century. */
function movedShort(text: string, days: number): string[] | null {
  const [, day, month, short] = (/^(\d{2})(\d{2})(\d{2})$/.exec(text) ?? []).map(Number);
  if (day === undefined || month === undefined || short === undefined) return null;
  const moved = movedDate(short >= 80 ? 1900 + short : 2000 + short, month, day, days);
  return moved === null ? null : [`${pad(moved.day)}${pad(moved.month)}${pad(moved.year % 100)}`];
}

/** Day, month and year in a field each, a day or month perhaps of one digit. */
function movedLong([day = '', month = '', year = '']: readonly string[], days: number): string[] | null {
  if (!/^\d{1,2}$/.test(day) || !/^\d{1,2}$/.test(month) || !/^\d{4}$/.test(year)) return null;
  const moved = movedDate(Number(year), Number(month), Number(day), days);
  if (moved === null) return null;
  const part = (value: number, as: string) => String(value).padStart(as.length, '0');
  return [part(moved.day, day), part(moved.month, month), part(moved.year, year)];
}

/** Null for what is no date. */
function movedDate(year: number, month: number, day: number, days: number) {
  const dayNumber = dayNumberOf(year, month, day);
  const back = dateOfDay(dayNumber);
  return back.month === month && back.day === day ? dateOfDay(dayNumber + days) : null;
}

function pad(value: number): string {
  return String(value).padStart(2, '0');
}
