import { LATITUDE, LONGITUDE, lettersOf, number, oneOf, TIME } from '../forms.js';
import { type FieldRule, field, needed, type Say } from '../rule.js';

/** What several sentences share (NMEA 0183, second hand; ranges of what a field can mean are common practice). */

export const TIME_FIELD = field('time', TIME);

export const POSITION_FIELDS: readonly FieldRule[] = [
  field('latitude', LATITUDE),
  field('hemisphere of the latitude', oneOf('N', 'S')),
  field('longitude', LONGITUDE),
  field('hemisphere of the longitude', oneOf('E', 'W')),
];

export const STATUS_FIELD = needed('status', oneOf('A', 'V'));
/** Of a single sentence; GNS has a letter a system. */
const MODE_LETTERS = 'NADPRFEMS';
export const MODE_FIELD = needed('mode', oneOf(...MODE_LETTERS));
export const MODES_FIELD = needed('modes', lettersOf(MODE_LETTERS, 1, 6));
export const NAV_STATUS_FIELD = needed('navigational status', oneOf('S', 'C', 'U', 'V'));
/** GPS, GLONASS, Galileo, BeiDou, QZSS, NavIC. */
export const SYSTEM_FIELD = field('system id', oneOf('1', '2', '3', '4', '5', '6'));

export const COURSE = number('0 to 360 deg', 0, 360);
export const SPEED = number('0 or more', 0, 99_999);
export const DOP = number('0 or more', 0, 9999);
export const METRES = number('0 or more, m', 0, 1e6);
export const ALTITUDE = number('a height, m', -1e5, 1e6);
/** The geoid lies within 110 m of the ellipsoid; old tables and local ones are coarser. */
export const SEPARATION = number('-200 to 200 m', -200, 200);

/** The two halves of a position stand together. @param place of the latitude, from 0 */
export function sayHalfPosition(fields: readonly string[], place: number, say: Say): void {
  const [latitude, longitude] = [fields[place] as string, fields[place + 2] as string];
  if ((latitude === '') === (longitude === '')) return;
  const found = latitude === '' ? 'longitude without latitude' : 'latitude without longitude';
  say('field-conflict', null, `${found}; both or neither are allowed`);
}

/** Status A needs a position and a mode other than N. @param places of status, latitude and mode, from 0 */
export function sayStatusConflict(
  fields: readonly string[],
  { status, latitude, mode }: { readonly status: number; readonly latitude: number; readonly mode: number },
  say: Say,
): void {
  if (fields[status] !== 'A') return;
  if (fields[latitude] === '') say('field-conflict', null, 'status A without a position; V is allowed there');
  if (fields[mode] === 'N') say('field-conflict', null, 'status A with mode N; V is allowed with it');
}
