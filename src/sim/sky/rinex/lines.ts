import { LodestubError } from '../../../base/error.js';
import { LeapSeconds } from '../../../base/leap-seconds.js';
import { dateOfDay, dayNumberOf, type GpsTime, gpsFromUtc } from '../../../base/time.js';

/** Width of a number, characters (D19.12). */
const WIDTH = 19;
const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[ED][+-]?\d+)?$/i;

/** A number of a header or record, NaN where the field is blank. */
export function parseNumber(field: string, path: string): number {
  const text = field.trim();
  if (text === '') return Number.NaN;
  const value = NUMBER.test(text) ? Number(text.replace(/d/i, 'E')) : Number.NaN;
  if (!Number.isFinite(value)) {
    throw new LodestubError({
      code: 'navigation.line',
      path,
      expected: 'a number such as 0.123456789012D+02',
      received: JSON.stringify(text.slice(0, 40)),
    });
  }
  return value;
}

/** Where the numbers of a record stand: in its first line from a column on, in the others from another. */
export interface Layout {
  readonly firstColumn: number;
  readonly column: number;
}

/** The lines of one record, read by the number of the value in it. */
export class RecordLines {
  /**
   * @param id as RINEX names the satellite
   * @param lines the epoch's line first
   * @param firstLine its number in the file, from 1
   */
  constructor(
    readonly id: string,
    readonly lines: readonly string[],
    readonly firstLine: number,
    readonly layout: Layout,
    readonly name: string,
  ) {}

  get letter(): string {
    return this.id.charAt(0);
  }

  /** The value `index` of the record, 0 to 2 in the first line, four in each other; 0 where the field is blank. */
  number(index: number): number {
    const value = this.numberOrNaN(index);
    return Number.isNaN(value) ? 0 : value;
  }

  /** The same, NaN where the field is blank. */
  numberOrNaN(index: number): number {
    const row = index < 3 ? 0 : Math.floor((index + 1) / 4);
    const place = index < 3 ? index : (index + 1) % 4;
    const column = (row === 0 ? this.layout.firstColumn : this.layout.column) + place * WIDTH;
    return parseNumber((this.lines[row] ?? '').slice(column, column + WIDTH), this.pathOf(row));
  }

  /** The epoch as calendar fields of the record's time scale. */
  epoch(): { year: number; month: number; day: number; hour: number; minute: number; second: number } {
    const text = (this.lines[0] ?? '').slice(this.layout.firstColumn === 22 ? 2 : 3, this.layout.firstColumn);
    const parts = text.trim().split(/\s+/).map(Number);
    const [year = Number.NaN, month = 0, day = 0, hour = 99, minute = 99, second = Number.NaN] = parts;
    const fullYear = year < 80 ? year + 2000 : year < 100 ? year + 1900 : year;
    const isDate = [fullYear, month, day, hour, minute].every(Number.isInteger) && fullYear >= 1980 && fullYear <= 2200;
    const back = isDate ? dateOfDay(dayNumberOf(fullYear, month, day)) : null;
    const isReal = back !== null && back.month === month && back.day === day && month >= 1 && month <= 12;
    const isTime = hour >= 0 && hour < 24 && minute >= 0 && minute < 60 && second >= 0 && second < 61;
    if (parts.length !== 6 || !isReal || !isTime) {
      throw new LodestubError({
        code: 'navigation.line',
        path: this.pathOf(0),
        expected: 'a time such as 2020 06 25 04 00 00',
        received: JSON.stringify(text),
      });
    }
    return { year: fullYear, month, day, hour, minute, second };
  }

  /** The epoch in a time scale without leap seconds, as GPS counts weeks and seconds. */
  atomicEpoch(): GpsTime {
    return gpsFromUtc(this.epoch(), NO_LEAP_SECONDS);
  }

  pathOf(row: number): string {
    return `${this.name}, line ${this.firstLine + row}`;
  }
}

const NO_LEAP_SECONDS = new LeapSeconds([]);

/**
 * The line's last number lacks characters: the file was cut there. Numbers end where their field does.
 * @param column where the first one begins
 */
export function endsInNumber(line: string, column: number): boolean {
  const text = line.trimEnd();
  return text.length > column && (text.length - column) % WIDTH !== 0;
}
