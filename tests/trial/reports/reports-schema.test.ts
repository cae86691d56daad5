import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { KNOT_MPS } from '../../../src/base/constants.js';
import { REPORTS_SCHEMA } from '../../../src/trial/reports/reports-schema.js';
import { mistakeIn, settingsOf } from './helper.js';

describe('reports of a trial', () => {
  it('come from the standard output, in UTC, under the usual names, where nothing else is said', () => {
    const settings = settingsOf('format: json-lines');
    expect(settings.from).toEqual({ kind: 'stdout' });
    expect(settings.time).toEqual({ kind: 'calendar', zone: 'UTC', form: null });
    expect(settings.fields.speed).toEqual({ name: null, factor: 1 });
  });

  it.each([
    ['stderr', { kind: 'stderr' }],
    ['tcp', { kind: 'tcp', port: 0 }],
    ['{ http: 9100 }', { kind: 'http', port: 9100 }],
    ["{ file: '{folder}/out.jsonl' }", { kind: 'file', path: '{folder}/out.jsonl' }],
  ])('from %s', (from, expected) => {
    expect(settingsOf(`{ from: ${from}, format: csv }`).from).toEqual(expected);
  });

  it('have fields by name, number or pointer, with units, or none at all', () => {
    const { fields } = settingsOf(
      '{ format: csv, fields: { latitude: 2, longitude: /a~1b, speed: { unit: kn }, course: false, used: { field: n } } }',
    );
    expect(fields.latitude).toEqual({ name: '2', factor: 1 });
    expect(fields.longitude).toEqual({ name: '/a~1b', factor: 1 });
    expect(fields.speed).toEqual({ name: null, factor: KNOT_MPS });
    expect(fields.course).toBeNull();
    expect(fields.used).toEqual({ name: 'n', factor: 1 });
  });

  it.each([
    [
      'from: stdin\nformat: csv',
      'trial.unknown-word: trial.yaml, line 2, column 9, reports.from: expected one of stdout,',
    ],
    ['from: { fiel: a }\nformat: csv', 'the key fiel is not known here'],
    ["from: { file: '{floder}/a' }\nformat: csv", 'Did you mean folder?'],
    ['from: { tcp: 70000 }\nformat: csv', 'expected a whole number of 0 to 65535'],
    ['from: stdout', 'the key format is missing'],
    ['format: xml', 'expected one of json-lines, csv, gpx, geojson, text, nmea'],
    ['format: json-lines\ntime: local', 'Known: utc, unix-s, unix-ms, arrival.'],
    ['format: json-lines\ntime: { zone: Europe/Olso }', 'a time zone by its name in the IANA database'],
    ['format: json-lines\nfields: { latitud: a }', 'Did you mean latitude?'],
    ['format: json-lines\nfields: { speed: { field: v, unit: knots } }', 'expected one of m/s, kn, km/h, mph, cm/s'],
    ['format: json-lines\nfields: { latitude: /a~2 }', '~ is written ~0 in one'],
    ['format: json-lines\nfields: { latitude: [a] }', 'expected the name of a field, a JSON pointer'],
    ['format: json-lines\npattern: a', 'reports.pattern: expected pattern only beside format: text'],
    ['format: gpx\nno-fix: none', 'reports.no-fix: expected no-fix only beside format: text or csv'],
    ['format: gpx\ndecimal-comma: true', 'decimal-comma only beside format: csv or text'],
    ['format: csv\ndelimiter: ","\ndecimal-comma: true', 'another character than the comma'],
    ['format: csv\ndelimiter: ";;"', 'expected one character'],
    ['format: text', 'the key pattern is missing'],
    ["format: text\npattern: '^pos (\\S+)'", 'expected named groups that are fields'],
    ["format: text\npattern: '(?<latitud>.)'", 'latitud is none. Did you mean latitude?'],
    ["format: text\npattern: '(?<latitude>.'", 'as a regular expression'],
    ['format: text\npattern: 7', 'with named groups such as'],
    ['format: csv\nblank: NaN', 'expected a list of values'],
  ])('%j is explained', (yaml, message) => {
    expect(mistakeIn(yaml)).toContain(message);
  });

  it('have a JSON Schema in which every key is described', () => {
    const schema = z.toJSONSchema(REPORTS_SCHEMA, { io: 'input' }) as unknown as {
      properties: Record<string, { description?: string }>;
    };
    expect(Object.keys(schema.properties)).toContain('without-place');
    for (const [key, each] of Object.entries(schema.properties)) expect(each.description, key).toMatch(/\w/);
  });
});
