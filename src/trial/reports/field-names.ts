import type { FieldName } from './reports-settings.js';

/** The names that a field usually has, in the order they are looked for; case, spaces, - and _ don't count. */
export const USUAL_NAMES: Readonly<Record<FieldName, readonly string[]>> = {
  latitude: ['latitude', 'lat', 'latitudeDeg'],
  longitude: ['longitude', 'lon', 'lng', 'long', 'longitudeDeg'],
  height: ['height', 'altitude', 'alt', 'elevation', 'ele', 'altitudeMslM'],
  speed: ['speed', 'speedMps'],
  course: ['course', 'track', 'heading', 'cog', 'bearing', 'courseDeg'],
  time: ['time', 'timestamp', 'utc', 'datetime', 't'],
  used: ['used', 'satellites', 'sats', 'sat', 'satellitesUsed', 'numSatellites'],
  'in-view': ['inView', 'satellitesInView'],
  fix: ['fix', 'hasFix', 'valid', 'isValid', 'status', 'quality'],
};

/** Mappings, by name, in which a report's place and what belongs to it may stand one level down. */
export const USUAL_HOLDERS: readonly string[] = ['position', 'coords', 'location', 'place'];

/** Values of the field `fix` that say that there is none, where a trial names no others. */
export const DEFAULT_NONE_WORDS: readonly string[] = [
  ...['none', 'no', 'no-fix', 'no fix', 'no_fix', 'nofix', 'invalid', 'void', 'v', 'n', '0', 'false'],
];

/** A name as it is compared. */
export function plainName(name: string): string {
  return name.toLowerCase().replace(/[\s_-]/g, '');
}
