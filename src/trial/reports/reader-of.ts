import { csvFormat } from './csv-format.js';
import { GeoJsonReader } from './geojson-reader.js';
import { GpxReader } from './gpx-reader.js';
import { jsonFormat } from './json-format.js';
import { LineReader } from './line-reader.js';
import { NmeaReader } from './nmea-reader.js';
import type { ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';
import { textFormat } from './text-format.js';

/** A reader of a host's reports, in the format that the settings name. */
export function readerOf(settings: ReportsSettings, take: ReportTaker, context: ReportContext): ReportReader {
  const { format, from } = settings;
  // A log may stand between the reports on a program's own outputs.
  const isMixed = from.kind === 'stdout' || from.kind === 'stderr';
  switch (format.name) {
    case 'json-lines':
      return new LineReader(settings, take, context, (fields) => jsonFormat(fields, isMixed));
    case 'csv':
      return new LineReader(settings, take, context, (fields) => csvFormat(format, fields, isMixed));
    case 'text':
      return new LineReader(settings, take, context, (fields) => textFormat(format.patterns, fields));
    case 'nmea':
      return new NmeaReader(settings, take, context);
    case 'gpx':
      return new GpxReader(settings, take, context);
    case 'geojson':
      return new GeoJsonReader(settings, take, context, isMixed);
  }
}
