import { KNOT_MPS } from '../base/constants.js';
import type { Sentence } from './sentence.js';
import {
  dateFrom,
  dateOf,
  degreesFrom,
  numberFrom,
  type TextDate,
  timeFrom,
  wholeFrom,
  withoutZeros,
} from './values.js';

export type { TextDate } from './values.js';

/** A satellite of a GSV sentence. */
export interface ListedSatellite {
  /** Of the sentence that lists it. */
  readonly talker: string;
  /** Signal id as it stands; null: none is given. */
  readonly signal: string | null;
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

const GSA_FIXES: ReadonlyMap<string, 'none' | '2d' | '3d'> = new Map([
  ['1', 'none'],
  ['2', '2d'],
  ['3', '3d'],
]);
/** Fields of GSV before its satellites, and of each of them. */
const GSV_HEAD = 3;
const FIELDS_PER_SATELLITE = 4;

/**
 * What a sentence says, as a tolerant reader takes it: each field by itself, whatever the others are, checksum aside.
 * @returns null for a formatter that tells nothing of position, time or satellites
 */
export function decode({ kind, talker, formatter, fields }: Sentence): Decoded | null {
  if (kind !== 'standard') return null;
  const field = (place: number) => fields[place - 1] ?? '';
  switch (formatter) {
    case 'GGA':
      return qualityWords('GGA', fields, 11, wholeFrom(field(6)), null);
    case 'GNS':
      return qualityWords('GNS', fields, 10, null, wordFrom(field(6)));
    case 'RMC':
      return {
        of: 'RMC',
        ...fixWords(field(1), field(3), field(4), field(5), field(6)),
        status: wordFrom(field(2)),
        speedMps: scaled(numberFrom(field(7)), KNOT_MPS),
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
        speedMps: scaled(numberFrom(field(5)), KNOT_MPS) ?? scaled(numberFrom(field(7)), 1 / 3.6),
        mode: wordFrom(field(9)),
      };
    case 'GSA':
      return {
        of: 'GSA',
        fix: GSA_FIXES.get(field(2)) ?? null,
        ids: fields
          .slice(2, 14)
          .filter((id) => id !== '')
          .map(withoutZeros),
        pdop: numberFrom(field(15)),
        hdop: numberFrom(field(16)),
        vdop: numberFrom(field(17)),
        system: wordFrom(field(18)),
      };
    case 'GSV':
      return { of: 'GSV', ...listed(talker, fields) };
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

function listed(talker: string, fields: readonly string[]): Omit<Extract<Decoded, { of: 'GSV' }>, 'of'> {
  const { length } = fields;
  const signal = (length - GSV_HEAD) % FIELDS_PER_SATELLITE === 1 ? wordFrom(fields[length - 1] as string) : null;
  const satellites: ListedSatellite[] = [];
  for (let place = GSV_HEAD; place + FIELDS_PER_SATELLITE <= length; place += FIELDS_PER_SATELLITE) {
    const id = fields[place] as string;
    if (id === '') continue;
    const cn0DbHz = numberFrom(fields[place + 3] as string);
    satellites.push({
      talker,
      signal,
      id: withoutZeros(id),
      elevationDeg: numberFrom(fields[place + 1] as string),
      azimuthDeg: numberFrom(fields[place + 2] as string),
      cn0DbHz: cn0DbHz === 0 ? null : cn0DbHz,
    });
  }
  return {
    total: wholeFrom(fields[0] ?? ''),
    number: wholeFrom(fields[1] ?? ''),
    inView: wholeFrom(fields[2] ?? ''),
    satellites,
    signal,
  };
}

/** What GGA and GNS have in the same places, but for the geoid separation. */
function qualityWords<Name extends 'GGA' | 'GNS'>(
  of: Name,
  fields: readonly string[],
  separation: number,
  quality: number | null,
  modes: string | null,
): QualityWords<Name> {
  const field = (place: number) => fields[place - 1] ?? '';
  const { timeOfDayMs, latitudeDeg, longitudeDeg } = fixWords(field(1), field(2), field(3), field(4), field(5));
  return {
    of,
    timeOfDayMs,
    latitudeDeg,
    longitudeDeg,
    quality,
    modes,
    used: wholeFrom(field(7)),
    hdop: numberFrom(field(8)),
    altitudeMslM: numberFrom(field(9)),
    geoidSeparationM: numberFrom(field(separation)),
  };
}

function fixWords(time: string, latitude: string, north: string, longitude: string, east: string): FixWords {
  const latitudeDeg = signed(degreesFrom(latitude), north);
  const longitudeDeg = signed(degreesFrom(longitude), east);
  const areThere = latitudeDeg !== null && longitudeDeg !== null;
  const isPlace = areThere && Math.abs(latitudeDeg) <= 90 && Math.abs(longitudeDeg) <= 180;
  return {
    timeOfDayMs: timeFrom(time),
    latitudeDeg: isPlace ? latitudeDeg : null,
    longitudeDeg: isPlace ? longitudeDeg : null,
  };
}

function signed(value: number | null, hemisphere: string): number | null {
  if (value === null) return null;
  if (hemisphere === 'N' || hemisphere === 'E') return value;
  return hemisphere === 'S' || hemisphere === 'W' ? -value : null;
}

function wordFrom(text: string): string | null {
  return text === '' ? null : text;
}

function scaled(value: number | null, factor: number): number | null {
  return value === null ? null : value * factor;
}
