import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frame } from '../../../src/emit/sentences/checksum.js';
import { readAll, reading } from './helper.js';

/** A text of each format with good and bad reports, and its settings. */
const TEXTS: readonly [name: string, yaml: string, text: string][] = [
  [
    'JSON Lines',
    'format: json-lines',
    '\ufefflog\r\n{"lat":1,"lon":2,"time":"2022-02-18T09:30:00Z"}\r\n{"lat":1\n\n{"lat":"é","lon":1}\r{"lat":3,"lon":4}',
  ],
  ['CSV', '{ from: tcp, format: csv }', 'lat;lon;time\r\n1;2;2022-02-18T09:30:00Z\r\n"1;2\n3;"4";09:30:01\n;;\n5;6'],
  [
    'plain text',
    String.raw`{ format: text, pattern: '^(?<lat>\S+) (?<lon>\S+)$', no-fix: none }`,
    '1 2\r\nnone\nx y\n3 4',
  ],
  [
    'sentences',
    'format: nmea',
    `${frame('GPRMC,093001.00,A,6325.8300,N,01023.7060,E,10.0,90.0,180222,,,A')}\r\nnoise\r\n` +
      `${frame('GPGSV,1,1,01,05,50,090,40')}\r\n${frame('GPGGA,093001.00,,,,,0,00,,,,,,,')}\r\n$GPRMC,1*00\r\n`,
  ],
  [
    'GPX',
    '{ from: { file: a }, format: gpx }',
    '<?xml version="1.0"?><gpx a="<>"><!-- <trkpt lat="9" lon="9"/> --><trkpt lat="1" lon="2"><ele>1</ele></trkpt>' +
      '<trkpt lat="1 lon="2"/><wpt lat=\'3\' lon="4"/><rtept lat="5" lon="6"><![CDATA[</rtept>]]></rtept></gpx>',
  ],
  [
    'GeoJSON',
    '{ from: { file: a }, format: geojson }',
    '{"type":"FeatureCollection","a":{"features":[{}]},"features":[{"type":"Feature","geometry":{"type":"Point",' +
      '"coordinates":[1,2]},"properties":{"a":"}\\"]"}},{"type":"Feature","geometry":null}]}\n{"type":"Point\n' +
      '[{"type":"Point","coordinates":[3,4]}] {"type":"Poi',
  ],
];

describe.each(TEXTS)('%s', (_, yaml, text) => {
  it('gives the same reports however it is cut', () => {
    const whole = readAll(yaml, text);
    expect(whole.reports.length).toBeGreaterThan(1);
    expect(
      readAll(
        yaml,
        text,
        [...text].map((__, at) => at),
      ),
    ).toEqual(whole);
    fc.assert(
      fc.property(fc.array(fc.nat(text.length)), (cuts) => {
        expect(readAll(yaml, text, cuts)).toEqual(whole);
      }),
    );
  });

  it('never makes the reader throw, however it is damaged', () => {
    const damage = fc.record({
      at: fc.nat(text.length),
      length: fc.nat(5),
      put: fc.oneof(
        fc.constantFrom('"', '<', '>', '{', '}', '[', ']', '\n', '\\', ',', '\0', '\ufffd', 'null', '1e999'),
        fc.string(),
      ),
    });
    fc.assert(
      fc.property(fc.array(damage, { minLength: 1, maxLength: 8 }), (all) => {
        let damaged = text;
        for (const { at, length, put } of all) damaged = damaged.slice(0, at) + put + damaged.slice(at + length);
        const told = readAll(yaml, damaged);
        for (const { latitudeDeg, longitudeDeg, hasFix } of told.reports) {
          expect(Math.abs(latitudeDeg ?? 0)).toBeLessThanOrEqual(90);
          expect(Math.abs(longitudeDeg ?? 0)).toBeLessThanOrEqual(180);
          if (hasFix === true) expect(latitudeDeg).not.toBeNull();
        }
      }),
      { numRuns: 300 },
    );
  });

  it('is read again from the start without a report told twice', () => {
    const once = readAll(yaml, text);
    const { reader, reports } = reading(yaml);
    reader.push(text);
    reader.restart();
    reader.push(text);
    reader.end();
    expect(reports).toEqual(once.reports);
  });
});
