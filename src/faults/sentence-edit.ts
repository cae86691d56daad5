import type { TellTale } from '../emit/line/transmission.js';
import { checksum, frame } from '../emit/sentences/checksum.js';
import { degreesMinutes } from '../emit/sentences/fields.js';

/** A whole sentence, taken apart. */
export interface SentenceParts {
  /** What stands between `$` and `*`: talker and kind first, so that field 1 is the first after them. */
  readonly fields: string[];
  /** Whether the checksum is in lower case. */
  readonly isLower: boolean;
  /** What follows the checksum: CR LF, or what another fault has made of it. */
  readonly end: string;
}

const WHOLE = /^\$([^$*\r\n]+)\*([0-9A-Fa-f]{2})([\r\n]*)$/;

/**
 * Takes a sentence apart.
 * @param sent `$…*hh` and its line end
 * @returns null where it is no single whole sentence with a right checksum any more: an earlier fault has damaged it,
 * and what it has done is to stay
 */
export function splitSentence(sent: string): SentenceParts | null {
  const [, body, sum, end] = WHOLE.exec(sent) ?? [];
  if (body === undefined || sum === undefined || end === undefined) return null;
  const upper = sum.toUpperCase();
  if (upper !== checksum(body)) return null;
  return { fields: body.split(','), isLower: upper !== sum, end };
}

/** Puts a sentence together again, with the checksum that its fields have now. */
export function joinSentence({ fields, isLower, end }: SentenceParts): string {
  const whole = frame(fields.join(','));
  return `${isLower ? whole.slice(0, -2) + whole.slice(-2).toLowerCase() : whole}${end}`;
}

/** What fields of sentences tell, as far as faults touch it. */
export type FieldName =
  | 'latitude'
  | 'longitude'
  | 'status'
  | 'mode'
  | 'modes'
  | 'quality'
  | 'fix'
  | 'used'
  | 'altitude'
  | 'separation'
  | 'course'
  | 'speed'
  | 'time'
  | 'date'
  | 'variation'
  | 'cn0';

type Places = Readonly<Partial<Record<FieldName, readonly number[]>>>;

/**
 * Where they stand in each kind (NMEA 0183 field order, second hand): a latitude or longitude is followed by its
 * hemisphere, `variation` and `date` have all fields that belong to them, lengths and speeds not their unit letters.
 */
const PLACES: Readonly<Record<string, Places>> = {
  GGA: { time: [1], latitude: [2], longitude: [4], quality: [6], used: [7], altitude: [9], separation: [11] },
  GLL: { latitude: [1], longitude: [3], time: [5], status: [6], mode: [7] },
  RMC: {
    time: [1],
    status: [2],
    latitude: [3],
    longitude: [5],
    speed: [7],
    course: [8],
    date: [9],
    variation: [10, 11],
    mode: [12],
  },
  GNS: { time: [1], latitude: [2], longitude: [4], modes: [6], used: [7], altitude: [9], separation: [10] },
  VTG: { course: [1, 3], speed: [5, 7], mode: [9] },
  ZDA: { time: [1], date: [2, 3, 4] },
  GSA: { fix: [2] },
  GST: { time: [1] },
  GBS: { time: [1] },
  GRS: { time: [1] },
  VBW: { speed: [4, 5] },
};

const NOWHERE: readonly number[] = [];
/** Fields of GSV before its satellites, and of each satellite. */
export const GSV_START = 4;
export const GSV_SATELLITE = 4;

/** The places of fields in a sentence; those that its version does not have are left out. */
export function placesOf(fields: readonly string[], what: FieldName): readonly number[] {
  const name = kindOf(fields);
  if (name === 'GSV' && what === 'cn0') {
    return Array.from({ length: gsvSatellites(fields) }, (_, i) => GSV_START + (i + 1) * GSV_SATELLITE - 1);
  }
  const places = PLACES[name]?.[what] ?? NOWHERE;
  return places.every((place) => place < fields.length) ? places : places.filter((place) => place < fields.length);
}

/** Whole satellites that a GSV lists. */
export function gsvSatellites(fields: readonly string[]): number {
  return Math.floor((fields.length - GSV_START) / GSV_SATELLITE);
}

/** Writes the same text into each of these fields. @returns whether any has changed */
export function putField(fields: string[], what: FieldName, text: string): boolean {
  let hasChanged = false;
  for (const place of placesOf(fields, what)) {
    hasChanged ||= fields[place] !== text;
    fields[place] = text;
  }
  return hasChanged;
}

/** The three letters after the talker. */
export function kindOf(fields: readonly string[]): string {
  return (fields[0] ?? '').slice(2);
}

/**
 * A sentence with a tell-tale in place of its own latitude and longitude, written with as many decimals.
 * @param tellTale is called only where the sentence gets it
 * @returns the sentence as it was where it has no place, or is damaged already
 */
export function withTellTale(sent: string, tellTale: () => TellTale): string {
  const parts = splitSentence(sent);
  if (parts === null) return sent;
  const { fields } = parts;
  const latitude = placesOf(fields, 'latitude')[0];
  const longitude = placesOf(fields, 'longitude')[0];
  if (latitude === undefined || longitude === undefined) return sent;
  if (fields[latitude] === '' || fields[longitude] === '') return sent;
  const { latitudeDeg, longitudeDeg } = tellTale();
  putAngle(fields, latitude, latitudeDeg, 2, ['N', 'S']);
  putAngle(fields, longitude, longitudeDeg, 3, ['E', 'W']);
  return joinSentence(parts);
}

function putAngle(
  fields: string[],
  place: number,
  angleDeg: number,
  digits: 2 | 3,
  [positive, negative]: readonly [string, string],
): void {
  const own = fields[place] as string;
  const point = own.indexOf('.');
  const decimals = point < 0 ? 0 : own.length - point - 1;
  const [angle, hemisphere] = degreesMinutes(angleDeg, digits, decimals, positive, negative).split(',');
  fields[place] = angle as string;
  fields[place + 1] = hemisphere as string;
}

/** Characters of a sentence up to the comma after its longitude's hemisphere, that comma included. */
export function lengthWithPlace(sent: string): number {
  const fields = sent.slice(1).split(',');
  const longitude = placesOf(fields, 'longitude')[0];
  if (longitude === undefined) return 0;
  let length = 1;
  for (let i = 0; i <= longitude + 1; i++) length += (fields[i] as string).length + 1;
  return length;
}
