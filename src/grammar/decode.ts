import { SECONDS_PER_DAY } from '../base/constants.js';
import type { Sentence } from './sentence.js';

/** A date as a sentence tells it. */
export interface TextDate {
  /** Four digits; of two digits the year from 1980 to 2079 that they stand for. */
  readonly year: number;
  readonly month: number;
  readonly day: number;
}

/** A satellite of a GSV sentence. */
export interface ListedSatellite {
  /** The number as it stands, without leading zeros. */
  readonly id: string;
  readonly elevationDeg: number | null;
  readonly azimuthDeg: number | null;
  /** Null: blank, or 00 as modules write that do not track it. */
  readonly cn0DbHz: number | null;
}

/** What a sentence tells of a fix; null: it does not, or not in a way that can be read. */
export interface FixWords {
  /** UTC time of day, ms; of second 60, 60,000 ms of its minute. */
  readonly timeOfDayMs: number | null;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
}

/** What GGA and GNS tell beside the fix. */
export type QualityWords<Name> = {
  readonly of: Name;
  readonly quality: number | null;
  /** GNS: a letter a system. */
  readonly modes: string | null;
  readonly used: number | null;
  readonly hdop: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
} & FixWords;

/** A sentence's values; null where a field is blank or cannot be read. Angles in degrees, speeds in m/s. */
export type Decoded =
  | QualityWords<'GGA'>
  | QualityWords<'GNS'>
  | ({
      readonly of: 'RMC';
      readonly status: string | null;
      readonly speedMps: number | null;
      readonly courseDeg: number | null;
      readonly date: TextDate | null;
      readonly variationDeg: number | null;
      readonly mode: string | null;
    } & FixWords)
  | ({ readonly of: 'GLL'; readonly status: string | null; readonly mode: string | null } & FixWords)
  | {
      readonly of: 'VTG';
      readonly courseDeg: number | null;
      readonly speedMps: number | null;
      readonly mode: string | null;
    }
  | {
      readonly of: 'GSA';
      readonly fix: 'none' | '2d' | '3d' | null;
      readonly ids: readonly string[];
      readonly pdop: number | null;
      readonly hdop: number | null;
      readonly vdop: number | null;
      readonly system: string | null;
    }
  | {
      readonly of: 'GSV';
      readonly total: number | null;
      readonly number: number | null;
      readonly inView: number | null;
      readonly satellites: readonly ListedSatellite[];
      readonly signal: string | null;
    }
  | { readonly of: 'ZDA'; readonly timeOfDayMs: number | null; readonly date: TextDate | null }
  | { readonly of: 'GST' | 'GBS' | 'GRS'; readonly timeOfDayMs: number | null }
  | { readonly of: 'TXT'; readonly text: string };

/** Kilometres an hour of a knot, a nautical mile of 1852 m. */
const MPS_PER_KNOT = 1852 / 3600;

/**
 * What a sentence says, as a tolerant reader takes it: each field by itself, whatever the others are, checksum aside.
 * @returns null for a formatter that tells nothing of position, time or satellites
 */
export function decode({ kind, formatter, fields }: Sentence): Decoded | null {
  if (kind !== 'standard') return null;
  const field = (place: number) => fields[place - 1] ?? '';
  switch (formatter) {
    case 'GGA':
      return {
        of: 'GGA',
        ...fixWords(field(1), field(2), field(3), field(4), field(5)),
        quality: wholeFrom(field(6)),
        modes: null,
        used: wholeFrom(field(7)),
        hdop: numberFrom(field(8)),
        altitudeMslM: numberFrom(field(9)),
        geoidSeparationM: numberFrom(field(11)),
      };
    case 'GNS':
      return {
        of: 'GNS',
        ...fixWords(field(1), field(2), field(3), field(4), field(5)),
        quality: null,
        modes: field(6) === '' ? null : field(6),
        used: wholeFrom(field(7)),
        hdop: numberFrom(field(8)),
        altitudeMslM: numberFrom(field(9)),
        geoidSeparationM: numberFrom(field(10)),
      };
    case 'RMC':
      return {
        of: 'RMC',
        ...fixWords(field(1), field(3), field(4), field(5), field(6)),
        status: wordFrom(field(2)),
        speedMps: scaled(numberFrom(field(7)), MPS_PER_KNOT),
        courseDeg: numberFrom(field(8)),
        date: dateFrom(field(9)),
        variationDeg: signed(numberFrom(field(10)), field(11)),
        mode: wordFrom(field(12)),
      };
    case 'GLL':
      return {
        of: 'GLL',
        ...fixWords(field(5), field(1), field(2), field(3), field(4)),
        status: wordFrom(field(6)),
        mode: wordFrom(field(7)),
      };
    case 'VTG':
      return {
        of: 'VTG',
        courseDeg: numberFrom(field(1)),
        speedMps: scaled(numberFrom(field(5)), MPS_PER_KNOT) ?? scaled(numberFrom(field(7)), 1 / 3.6),
        mode: wordFrom(field(9)),
      };
    case 'GSA':
      return {
        of: 'GSA',
        fix: ({ 1: 'none', 2: '2d', 3: '3d' } as const)[field(2)] ?? null,
        ids: fields
          .slice(2, 14)
          .filter((id) => id !== '')
          .map(plainId),
        pdop: numberFrom(field(15)),
        hdop: numberFrom(field(16)),
        vdop: numberFrom(field(17)),
        system: wordFrom(field(18)),
      };
    case 'GSV':
      return { of: 'GSV', ...listed(fields) };
    case 'ZDA':
      return { of: 'ZDA', timeOfDayMs: timeFrom(field(1)), date: dateOf(field(2), field(3), field(4)) };
    case 'GST':
    case 'GBS':
    case 'GRS':
      return { of: formatter, timeOfDayMs: timeFrom(field(1)) };
    case 'TXT':
      return { of: 'TXT', text: fields.slice(3).join(',') };
    default:
      return null;
  }
}

function listed(fields: readonly string[]): Omit<Extract<Decoded, { of: 'GSV' }>, 'of'> {
  const groups = Math.floor((fields.length - 3) / 4);
  const satellites: ListedSatellite[] = [];
  for (let group = 0; group < groups; group++) {
    const [id, elevation, azimuth, cn0] = fields.slice(3 + 4 * group, 7 + 4 * group) as [
      string,
      string,
      string,
      string,
    ];
    if (id === '') continue;
    const cn0DbHz = numberFrom(cn0);
    satellites.push({
      id: plainId(id),
      elevationDeg: numberFrom(elevation),
      azimuthDeg: numberFrom(azimuth),
      cn0DbHz: cn0DbHz === 0 ? null : cn0DbHz,
    });
  }
  const hasSignal = (fields.length - 3) % 4 === 1;
  return {
    total: wholeFrom(fields[0] ?? ''),
    number: wholeFrom(fields[1] ?? ''),
    inView: wholeFrom(fields[2] ?? ''),
    satellites,
    signal: hasSignal ? wordFrom(fields.at(-1) as string) : null,
  };
}

function fixWords(time: string, latitude: string, north: string, longitude: string, east: string): FixWords {
  const latitudeDeg = signed(degreesFrom(latitude), north);
  const longitudeDeg = signed(degreesFrom(longitude), east);
  const isPlace = latitudeDeg !== null && longitudeDeg !== null && Math.abs(latitudeDeg) <= 90;
  return {
    timeOfDayMs: timeFrom(time),
    latitudeDeg: isPlace ? latitudeDeg : null,
    longitudeDeg: isPlace && Math.abs(longitudeDeg) <= 180 ? longitudeDeg : null,
  };
}

/** `ddmm.mmmm`, however many digits of degrees. Minutes of 60, as rounding gives them, count as such. */
function degreesFrom(text: string): number | null {
  const [, degrees, minutes] = /^(\d{0,3}?)(\d{2}(?:\.\d*)?)$/.exec(text) ?? [];
  if (degrees === undefined || minutes === undefined) return null;
  const valueMin = Number(minutes);
  return valueMin <= 60 ? Number(degrees) + valueMin / 60 : null;
}

function signed(value: number | null, hemisphere: string): number | null {
  if (value === null) return null;
  if (hemisphere === 'N' || hemisphere === 'E') return value;
  return hemisphere === 'S' || hemisphere === 'W' ? -value : null;
}

/** `hhmmss` and decimals, as ms of the day. Seconds of 60 count as such. */
function timeFrom(text: string): number | null {
  const [, hours, minutes, seconds] = /^(\d{2})(\d{2})(\d{2}(?:\.\d*)?)$/.exec(text) ?? [];
  if (hours === undefined) return null;
  const [hour, minute, second] = [Number(hours), Number(minutes), Number(seconds)];
  if (hour > 23 || minute > 59 || second >= 61) return null;
  return Math.round((hour * 3600 + minute * 60 + second) * 1000);
}

function dateFrom(text: string): TextDate | null {
  const [, day, month, year] = /^(\d{2})(\d{2})(\d{2})$/.exec(text) ?? [];
  if (day === undefined || month === undefined || year === undefined) return null;
  const short = Number(year);
  return dateOf(day, month, `${short >= 80 ? 1900 + short : 2000 + short}`);
}

function dateOf(dayText: string, monthText: string, yearText: string): TextDate | null {
  if (!/^\d{1,2}$/.test(dayText) || !/^\d{1,2}$/.test(monthText) || !/^\d{4}$/.test(yearText)) return null;
  const [day, month, year] = [Number(dayText), Number(monthText), Number(yearText)];
  return day >= 1 && day <= 31 && month >= 1 && month <= 12 ? { year, month, day } : null;
}

function numberFrom(text: string): number | null {
  return /^[+-]?(?:\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : null;
}

function wholeFrom(text: string): number | null {
  return /^\d+$/.test(text) ? Number(text) : null;
}

function wordFrom(text: string): string | null {
  return text === '' ? null : text;
}

function scaled(value: number | null, factor: number): number | null {
  return value === null ? null : value * factor;
}

function plainId(text: string): string {
  return text.replace(/^0+(?=.)/, '');
}

/** Length of a day, ms. */
export const DAY_MS = SECONDS_PER_DAY * 1000;
