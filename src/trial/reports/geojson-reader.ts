import { isMapping } from '../../base/is-mapping.js';
import { ObjectCutter } from './object-cutter.js';
import { LONGEST_TEXT, RecordSink } from './record-sink.js';
import { FieldReader, type RawFields } from './report-fields.js';
import type { ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';

/** Names under which the place is handed on; a property is not called so. */
/** How many lists of positions are within each other, by type of geometry. */
const DEPTHS = new Map([
  ['Point', 0],
  ['LineString', 1],
  ['MultiPoint', 1],
  ['MultiLineString', 2],
]);
const LATITUDE = 'latitude of the geometry';
const LONGITUDE = 'longitude of the geometry';

/**
 * Reads GeoJSON (IETF, RFC 7946): features, a collection of them, bare geometries, one after another or as a document
 * that is whole, or not yet. Points are reports, and so is each position of a line, with what lists of the properties
 * have at its place; a feature without a geometry says that there is no place. The third number of a position is a
 * height above the ellipsoid there, so it is read only where a field names it.
 */
export class GeoJsonReader implements ReportReader {
  readonly #sink: RecordSink;
  readonly #fields: FieldReader;
  readonly #cutter: ObjectCutter;
  #hasObjects = false;
  #beginning = '';

  /** @param isMixed lines of a log may stand between the objects */
  constructor(settings: ReportsSettings, take: ReportTaker, context: ReportContext, isMixed: boolean) {
    this.#sink = new RecordSink(take);
    const fields = {
      ...settings.fields,
      latitude: { name: LATITUDE, factor: 1 },
      longitude: { name: LONGITUDE, factor: 1 },
    };
    this.#fields = new FieldReader({ ...settings, fields }, context);
    const taker = {
      object: (text: string) => this.#object(text),
      bad: (text: string, why: string) => this.#bad(text, why),
    };
    this.#cutter = new ObjectCutter(taker, isMixed);
  }

  push(text: string): void {
    if (this.#beginning.length < LONGEST_TEXT) this.#beginning = (this.#beginning + text).slice(0, LONGEST_TEXT);
    this.#cutter.push(text);
  }

  restart(): void {
    // What was not whole has been replaced.
    this.#cutter.reset();
    this.#hasObjects = false;
    this.#beginning = '';
    this.#sink.restart();
  }

  /** What is whole is told at once. */
  settle(): void {}

  end(): void {
    this.#cutter.end();
    if (!this.#hasObjects && /[^\s[\]]/.test(this.#beginning) && !/"features"\s*:/.test(this.#beginning)) {
      this.#bad(this.#beginning, 'it is no GeoJSON: there is no object');
    }
    this.#hasObjects = false;
    this.#beginning = '';
  }

  hint(): string | null {
    return null;
  }

  #bad(text: string, why: string): void {
    this.#hasObjects = true;
    this.#sink.put(text, { kind: 'bad', why });
  }

  #object(text: string): void {
    this.#hasObjects = true;
    let value: unknown;
    try {
      value = JSON.parse(text);
    } catch (error) {
      this.#bad(text, `it is not JSON: ${(error as Error).message.split(',', 1)[0]}`);
      return;
    }
    const { type, geometry, properties } = value as Record<string, unknown>;
    if (type !== 'Feature') this.#geometry(text, value as RawFields, {});
    else if (geometry === null || geometry === undefined) {
      const raw = { ...mappingOf(properties), [LATITUDE]: null, [LONGITUDE]: null };
      this.#sink.put(text, this.#fields.read(raw));
    } else this.#geometry(text, mappingOf(geometry), mappingOf(properties));
  }

  #geometry(text: string, geometry: RawFields, properties: RawFields): void {
    const { type, coordinates } = geometry;
    const shown = typeof type === 'string' ? type.slice(0, 40) : 'without a type';
    const depth = DEPTHS.get(shown);
    if (depth === undefined) {
      this.#bad(text, `the geometry ${shown}: a Point or a LineString can be read`);
    } else if (!Array.isArray(coordinates)) {
      this.#bad(text, `the geometry ${shown} has no coordinates`);
    } else if (depth === 0) {
      this.#position(text, coordinates, properties);
    } else {
      const positions: unknown[] = depth === 1 ? coordinates : coordinates.flat();
      positions.forEach((position, index) => {
        const own = propertiesAt(properties, index, positions.length);
        this.#position(JSON.stringify([position, own]), position, own);
      });
    }
  }

  #position(text: string, position: unknown, properties: RawFields): void {
    const [longitude, latitude] = Array.isArray(position) ? (position as unknown[]) : [];
    if (longitude === undefined || latitude === undefined) {
      this.#bad(text, 'a position that is no list of a longitude and a latitude');
      return;
    }
    const raw = {
      ...properties,
      properties,
      geometry: { coordinates: position },
      [LATITUDE]: latitude,
      [LONGITUDE]: longitude,
    };
    this.#sink.put(text, this.#fields.read(raw));
  }
}

/** What is told of a position of a line: of lists as long as the line the value beside it, at any depth. */
function propertiesAt(properties: RawFields, index: number, count: number): RawFields {
  const own: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(properties)) {
    if (Array.isArray(value) && value.length === count) own[name] = value[index];
    else if (isMapping(value)) own[name] = propertiesAt(value, index, count);
  }
  return own;
}

function mappingOf(value: unknown): RawFields {
  return isMapping(value) ? value : {};
}
