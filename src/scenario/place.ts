import { LodestubError } from '../base/error.js';
import { parseQuantity } from '../base/quantity.js';
import type { Place } from '../sim/trajectory/route.js';
import { HIGHEST_M, LOWEST_M } from './bounds.js';

/** How a place may be written, for messages. */
export const PLACE_EXPECTED =
  'a place: [latitude, longitude] or [latitude, longitude, height] in degrees and m above mean sea level, such as ' +
  '[63.4305, 10.3951, 12 m], or text such as 63.4305 N 10.3951 E';

/** How a place may be written as text, for messages. */
const TEXT_EXPECTED =
  'a place such as "63.4305, 10.3951", "63.4305 N 10.3951 E" or "63° 25.83\' N 10° 23.7\' E", with a height if ' +
  'wanted: "63.4305, 10.3951, 12 m"';

const ANGLE =
  "([+-]?\\d+(?:\\.\\d*)?)\\s*(?:(?:°|deg)\\s*(?:(\\d+(?:\\.\\d*)?)\\s*['′’]\\s*" +
  "(?:(\\d+(?:\\.\\d*)?)\\s*(?:[\"″”]|'')\\s*)?)?)?([NSEWnsew])?";
const PLACE = new RegExp(`^\\s*${ANGLE}(\\s*,\\s*|\\s+|(?<=[NSns])(?=\\d))${ANGLE}(?:\\s*,\\s*(.+?))?\\s*$`, 'u');
const ONE_ANGLE = new RegExp(`^\\s*${ANGLE}\\s*$`, 'u');

/**
 * Reads a place from text: latitude, longitude, then if wanted the height above mean sea level. Degrees are decimal, or
 * whole with minutes, or with minutes and seconds; north and east are positive, or named by N, S, E, W.
 * @throws LodestubError `place.format` or `place.range`
 */
export function parsePlace(text: string): Place {
  const match = PLACE.exec(text);
  if (!match) throw misread(text);
  const [, latDeg, latMin, latSec, latSide, separator, lonDeg, lonMin, lonSec, lonSide, height] = match;
  const isNamed = latSide !== undefined || lonSide !== undefined;
  // Without letters only a comma tells where the latitude ends: "63 25" may be degrees and minutes.
  if (isNamed ? latSide === undefined || lonSide === undefined : !separator?.includes(',')) throw misread(text);
  return checked({
    latitudeDeg: angle(text, 'NS', latDeg, latMin, latSec, latSide),
    longitudeDeg: angle(text, 'EW', lonDeg, lonMin, lonSec, lonSide),
    ...(height === undefined ? {} : { altitudeMslM: readHeight(height) }),
  });
}

/**
 * A place as a scenario's value: a list of two or three, or text.
 * @throws LodestubError `place.format` or `place.range`
 */
export function readPlace(value: unknown): Place {
  if (typeof value === 'string') return parsePlace(value);
  if (!Array.isArray(value) || value.length < 2 || value.length > 3) throw misread(value);
  const [latitude, longitude, height] = value as unknown[];
  return checked({
    latitudeDeg: listedAngle(value, latitude, 'NS'),
    longitudeDeg: listedAngle(value, longitude, 'EW'),
    ...(height === undefined ? {} : { altitudeMslM: readHeight(height) }),
  });
}

/** A place as text that {@link parsePlace} reads back to 1e-7 deg and 1 mm: `63.4305000 N 10.3951000 E, 12 m`. */
export function formatPlace({ latitudeDeg, longitudeDeg, altitudeMslM }: Place): string {
  const lat = `${Math.abs(latitudeDeg).toFixed(7)} ${latitudeDeg < 0 ? 'S' : 'N'}`;
  const lon = `${Math.abs(longitudeDeg).toFixed(7)} ${longitudeDeg < 0 ? 'W' : 'E'}`;
  return `${lat} ${lon}${altitudeMslM === undefined ? '' : `, ${Number(altitudeMslM.toFixed(3))} m`}`;
}

function listedAngle(place: unknown, value: unknown, sides: 'NS' | 'EW'): number {
  if (typeof value === 'number' && Number.isFinite(value)) return value;
  const match = typeof value === 'string' ? ONE_ANGLE.exec(value) : null;
  if (!match) throw misread(place);
  return angle(place, sides, match[1], match[2], match[3], match[4]);
}

function angle(
  place: unknown,
  sides: 'NS' | 'EW',
  degrees = '',
  minutes: string | undefined,
  seconds: string | undefined,
  side: string | undefined,
): number {
  const letter = side?.toUpperCase();
  const hasSign = /^[+-]/.test(degrees);
  if (letter !== undefined && (!sides.includes(letter) || hasSign)) throw misread(place);
  const hasFraction =
    (minutes !== undefined && degrees.includes('.')) || (seconds !== undefined && minutes?.includes('.'));
  if (hasFraction || Number(minutes ?? 0) >= 60 || Number(seconds ?? 0) >= 60) throw misread(place);
  const size = Math.abs(Number(degrees)) + Number(minutes ?? 0) / 60 + Number(seconds ?? 0) / 3600;
  const isNegative = degrees.startsWith('-') || letter === 'S' || letter === 'W';
  return isNegative && size !== 0 ? -size : size;
}

/** Metres above mean sea level, from a bare number or a length with its unit. */
function readHeight(value: unknown): number {
  const isBare = typeof value === 'number' || (typeof value === 'string' && /^\s*[+-]?\d+(\.\d*)?\s*$/.test(value));
  if (isBare) return Number(value);
  try {
    return parseQuantity(typeof value === 'string' ? value : '?', 'length');
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    throw new LodestubError({
      code: 'place.format',
      expected: 'a height above mean sea level such as 12 m as the third part of a place',
      received: shown(value),
    });
  }
}

function checked(place: Place): Place {
  const { latitudeDeg, longitudeDeg, altitudeMslM } = place;
  const isOut = (value: number, low: number, high: number) => !(value >= low && value <= high);
  if (isOut(latitudeDeg, -90, 90)) throw outOfRange('a latitude of -90 to 90 deg', latitudeDeg);
  if (isOut(longitudeDeg, -180, 180)) throw outOfRange('a longitude of -180 to 180 deg', longitudeDeg);
  if (altitudeMslM !== undefined && isOut(altitudeMslM, LOWEST_M, HIGHEST_M)) {
    throw outOfRange(`a height of ${LOWEST_M} to ${HIGHEST_M} m above mean sea level`, altitudeMslM);
  }
  return place;
}

function outOfRange(expected: string, value: number): LodestubError {
  const hint = expected.includes('height') ? undefined : 'A place is latitude first, then longitude.';
  return new LodestubError({ code: 'place.range', expected, received: String(value), ...(hint ? { hint } : {}) });
}

function misread(value: unknown): LodestubError {
  const expected = typeof value === 'string' ? TEXT_EXPECTED : PLACE_EXPECTED;
  return new LodestubError({ code: 'place.format', expected, received: shown(value) });
}

function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
