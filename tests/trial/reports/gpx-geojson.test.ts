import { describe, expect, it } from 'vitest';
import { readAll, reading } from './helper.js';

const HEAD =
  '<?xml version="1.0"?>\n<gpx version="1.1" creator="a host" xmlns="http://www.topografix.com/GPX/1/1" ' +
  'xmlns:e="urn:example">\n<!-- <trkpt lat="9" lon="9"/> -->\n<trk><trkseg>\n';
const TAIL = '</trkseg></trk></gpx>\n';
const point = (n: number) =>
  `<trkpt lat="63.${n}" lon="10.5"><ele>12.5</ele><time>2022-02-18T09:30:0${n}Z</time><sat>7</sat>` +
  '<extensions><e:speed>4.5</e:speed><e:course>90</e:course></extensions></trkpt>\n';
const latitudes = (told: ReturnType<typeof readAll>) => told.reports.map((each) => each.latitudeDeg);

const GPX = '{ from: { file: out.gpx }, format: gpx }';

describe('GPX', () => {
  it('has a report a point, its extensions included', () => {
    const told = readAll(GPX, HEAD + point(1) + point(2) + TAIL);
    expect(told.bad).toEqual([]);
    expect(latitudes(told)).toEqual([63.1, 63.2]);
    expect(told.reports[0]).toMatchObject({
      utcMs: Date.UTC(2022, 1, 18, 9, 30, 1),
      longitudeDeg: 10.5,
      altitudeMslM: 12.5,
      speedMps: 4.5,
      courseDeg: 90,
      used: 7,
      hasFix: true,
    });
  });

  it('is read as far as it goes, at once', () => {
    const { reader, reports, bad } = reading(GPX);
    reader.push(HEAD + point(1) + point(2).slice(0, 40));
    expect(reports).toHaveLength(1);
    reader.end();
    expect(bad.map((each) => each.why)).toEqual(['it ends in the middle of a point']);
  });

  it('takes points without a segment around them, route points, waypoints and elements with a prefix', () => {
    const text =
      '<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1"><g:rtept lat="1" lon="2"/><g:wpt lat="3" lon="4"></g:wpt></g:gpx>';
    expect(latitudes(readAll(GPX, text))).toEqual([1, 3]);
    expect(latitudes(readAll(GPX, '<trkpt lat="5" lon="6"/>'))).toEqual([5]);
  });

  it('knows a point that is no fix (GPX 1.1 schema, fixType)', () => {
    const told = readAll(GPX, `${HEAD}<trkpt lat="63.1" lon="10.5"><fix>none</fix></trkpt>${TAIL}`);
    expect(told.reports[0]?.hasFix).toBe(false);
  });

  it.each([
    ['<trkpt><ele>1</ele></trkpt>', 'a point without lat and lon'],
    ['<trkpt lat="95" lon="1"/>', 'the latitude 95 deg, -90 to 90 allowed'],
    ['<trkpt lat="63.1" lon="10"><ele>x</ele></trkpt>', 'the height "x" is no number'],
    ['<trkpt lat="63.1 lon="10"></trkpt>', 'it is not XML: a tag that does not end'],
  ])('%s is bad, and the next point is read', (text, why) => {
    const told = readAll(GPX, `${HEAD}${text}${point(2)}${TAIL}`);
    expect(told.bad.map((each) => each.why)).toEqual([why]);
    expect(latitudes(told)).toEqual([63.2]);
  });

  it('is not read where an element in a point is not closed', () => {
    const told = readAll(GPX, `${HEAD}<trkpt lat="63.1" lon="10"><ele>1</trkpt>${point(2)}${TAIL}`);
    expect(told.bad).toHaveLength(1);
    expect(told.bad[0]?.why).toMatch(/^it is not XML: /);
    expect(latitudes(told)).toEqual([63.2]);
  });

  it('is none without an element of it', () => {
    expect(readAll(GPX, 'lat,lon\n1,2\n').bad.map((each) => each.why)).toEqual([
      'it is no GPX: there is no element gpx, and no point',
    ]);
    expect(readAll(GPX, HEAD + TAIL).bad).toEqual([]);
  });

  it('that is written anew tells each point once', () => {
    const { reader, reports, bad } = reading(GPX);
    for (let n = 1; n <= 4; n++) {
      reader.push(HEAD + [1, 2, 3, 4].slice(0, n).map(point).join('') + TAIL);
      reader.restart();
    }
    expect(reports.map((each) => each.latitudeDeg)).toEqual([63.1, 63.2, 63.3, 63.4]);
    expect(bad).toEqual([]);
  });
});

const GEOJSON = '{ from: { file: out.json }, format: geojson }';
const feature = (n: number) =>
  `{"type":"Feature","geometry":{"type":"Point","coordinates":[10.5,63.${n},99]},` +
  `"properties":{"time":"2022-02-18T09:30:0${n}Z","speed":4.5,"used":7,"height":12.5,"note":"a } in \\" text"}}`;

describe('GeoJSON', () => {
  it('has the longitude first (RFC 7946, 3.1.1), and what else is known in its properties', () => {
    const told = readAll(GEOJSON, `{"type":"FeatureCollection","features":[${feature(1)},\n${feature(2)}]}\n`);
    expect(told.bad).toEqual([]);
    expect(latitudes(told)).toEqual([63.1, 63.2]);
    expect(told.reports[0]).toMatchObject({
      utcMs: Date.UTC(2022, 1, 18, 9, 30, 1),
      longitudeDeg: 10.5,
      altitudeMslM: 12.5,
      speedMps: 4.5,
      used: 7,
    });
  });

  it('has a third number that is a height above the ellipsoid (RFC 7946, 4): read where it is named', () => {
    const yaml = '{ from: { file: a }, format: geojson, fields: { height: /geometry/coordinates/2 } }';
    expect(readAll(yaml, feature(1)).reports[0]?.altitudeMslM).toBe(99);
    const without = feature(1).replace('"height":12.5,', '');
    expect(readAll(GEOJSON, without).reports[0]?.altitudeMslM).toBeNull();
  });

  it('is read feature by feature, as lines, as a sequence, as a list, and as a collection that is not whole yet', () => {
    const two = [feature(1), feature(2)];
    for (const text of [
      two.join('\n'),
      two.map((each) => `\u001e${each}\n`).join(''),
      `[${two.join(',')}]`,
      `{"type":"FeatureCollection","name":"a","features":[${two.join(',')}`,
      JSON.stringify({ type: 'FeatureCollection', features: two.map((each) => JSON.parse(each)) }, null, 2),
    ]) {
      const told = readAll(GEOJSON, text);
      expect(latitudes(told)).toEqual([63.1, 63.2]);
      expect(told.bad).toEqual([]);
    }
  });

  it('has a report for each position of a line, with what lists beside it have there', () => {
    const read = (fields: string, properties: object) => {
      const coordinates = [
        [10, 63],
        [11, 64],
      ];
      const line = { type: 'Feature', geometry: { type: 'LineString', coordinates }, properties };
      const yaml = `{ from: { file: out.json }, format: geojson, fields: ${fields} }`;
      return readAll(yaml, JSON.stringify(line)).reports.map((each) => [each.latitudeDeg, each.utcMs, each.speedMps]);
    };
    const times = ['2022-02-18T09:30:00Z', '2022-02-18T09:30:01Z'];
    const [first, second] = [Date.UTC(2022, 1, 18, 9, 30), Date.UTC(2022, 1, 18, 9, 30, 1)];
    expect(read('{}', { time: times, speed: [1, 2] })).toEqual([
      [63, first, 1],
      [64, second, 2],
    ]);
    // What is no list as long as the line is not about a position, and a list of another name has to be named.
    expect(read('{}', { time: times[0], when: times, speed: [1] })).toEqual([
      [63, null, null],
      [64, null, null],
    ]);
    expect(read('{ time: when }', { when: times })[1]).toEqual([64, second, null]);
    expect(read('{ time: /of/each/when }', { of: { each: { when: times } } })[1]).toEqual([64, second, null]);
  });

  it('without a geometry says that there is no place (RFC 7946, 3.2)', () => {
    const told = readAll(GEOJSON, '{"type":"Feature","geometry":null,"properties":{"used":2}}');
    expect(told.reports[0]).toMatchObject({ hasFix: false, latitudeDeg: null, used: 2 });
  });

  it.each([
    ['{"type":"Point","coordinates":[63,95]}', 'the latitude 95 deg, -90 to 90 allowed'],
    ['{"type":"Point","coordinates":[63]}', 'a position that is no list of a longitude and a latitude'],
    ['{"type":"Point"}', 'the geometry Point has no coordinates'],
    ['{"type":"toString","coordinates":[]}', 'the geometry toString: a Point or a LineString can be read'],
    ['{"type":"Polygon","coordinates":[]}', 'the geometry Polygon: a Point or a LineString can be read'],
    ['{"lat":1,"lon":2}', 'the geometry without a type: a Point or a LineString can be read'],
    ['{"type":"Point","coordinates":[1,2]]', 'its brackets do not fit together'],
    ['{"type":"Point\n', 'a text in it goes on over the end of a line'],
    ['{"type":"Point","coordinates":[1,]}', "it is not JSON: Unexpected token ']'"],
  ])('%j is bad, and the next is read', (text, why) => {
    const told = readAll(GEOJSON, `${text}\n${feature(2)}`);
    expect(told.bad.map((each) => each.why)).toEqual([why]);
    expect(latitudes(told)).toEqual([63.2]);
  });

  it('that breaks off is bad, and so is what is none at all', () => {
    expect(readAll(GEOJSON, feature(1).slice(0, 60)).bad.map((each) => each.why)).toEqual(['it ends in the middle']);
    expect(readAll(GEOJSON, 'lat,lon\n').bad.map((each) => each.why)).toEqual(['it is no GeoJSON: there is no object']);
    expect(readAll(GEOJSON, '{"type":"FeatureCollection","features":[]}').bad).toEqual([]);
  });

  it('that is written anew tells each feature once', () => {
    const { reader, reports, bad } = reading(GEOJSON);
    for (let n = 1; n <= 3; n++) {
      reader.push(`{"type":"FeatureCollection","features":[${[1, 2, 3].slice(0, n).map(feature).join(',')}]}`);
      reader.restart();
    }
    expect(reports.map((each) => each.latitudeDeg)).toEqual([63.1, 63.2, 63.3]);
    expect(bad).toEqual([]);
  });

  it('on an output with a log between is found again after brackets that do not fit', () => {
    const yaml = '{ from: stdout, format: geojson }';
    const log = ['starting [[', 'a { b', '{"type":"Feature","geometry":', '[1, {"x', '}}]'];
    for (const odd of log) {
      const told = readAll(yaml, `${feature(1)}\n${odd}\n${feature(2)}\n${feature(3)}\n`);
      expect(latitudes(told), odd).toEqual([63.1, 63.2, 63.3]);
    }
    const collection = `{"type":"FeatureCollection","features":[\n${feature(1)},\n${feature(2)}\n]}\n`;
    expect(latitudes(readAll(yaml, collection))).toEqual([63.1, 63.2]);
    const pretty = JSON.stringify(JSON.parse(feature(1)), null, 2);
    expect(latitudes(readAll(yaml, `${pretty}\n${pretty}\n`))).toEqual([63.1, 63.1]);
  });

  it('is not held up by brackets without end', () => {
    const told = readAll(GEOJSON, `${'['.repeat(1_000_000)}\n${'{'.repeat(1000)}\n${feature(2)}\n${feature(3)}`);
    expect(latitudes(told).at(-1)).toBe(63.3);
    expect(told.bad[0]?.why).toBe('more than 500 brackets are open in it');
  });
});
