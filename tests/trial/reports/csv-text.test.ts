import { describe, expect, it } from 'vitest';
import { readAll } from './helper.js';

const places = (told: ReturnType<typeof readAll>) => told.reports.map((each) => [each.latitudeDeg, each.longitudeDeg]);

describe('CSV', () => {
  it('goes by the names of its first line, whatever of , ; and tab parts them', () => {
    for (const by of [',', ';', '\t']) {
      const text = `${['Time', 'Lat', 'Lon'].join(by)}\r\n${['2022-02-18T09:30:00Z', '63.4', '"10.4"'].join(by)}\r\n`;
      const told = readAll('{ from: { file: a.csv }, format: csv }', text);
      expect(places(told)).toEqual([[63.4, 10.4]]);
      expect(told.reports[0]?.utcMs).toBe(Date.UTC(2022, 1, 18, 9, 30));
      expect(told.bad).toEqual([]);
    }
  });

  it('goes by numbers of columns, or by names that the trial gives', () => {
    const text = '7;63,4;10,4\n';
    const byNumber =
      '{ format: csv, header: false, delimiter: ";", decimal-comma: true, fields: { latitude: 2, longitude: 3 } }';
    expect(places(readAll(byNumber, text))).toEqual([[63.4, 10.4]]);
    const byName = '{ format: csv, columns: [used, lat, lon], delimiter: ";", decimal-comma: true }';
    const told = readAll(byName, text);
    expect(places(told)).toEqual([[63.4, 10.4]]);
    expect(told.reports[0]?.used).toBe(7);
  });

  it('takes empty cells for no fix', () => {
    expect(readAll('format: csv', 'lat,lon,used\n,,0\n').reports[0]).toMatchObject({ hasFix: false, used: 0 });
  });

  it('minds its header when a host that starts again writes it again', () => {
    const told = readAll('format: csv', 'lat,lon\n1,2\nlat,lon\n3,4\n');
    expect(places(told)).toEqual([
      [1, 2],
      [3, 4],
    ]);
    expect(told.bad).toEqual([]);
  });

  it('leaves lines of a log alone on the host’s own output', () => {
    const told = readAll('format: csv', 'listening, at last\nlat,lon\n1,2\nstill here\n3,4\n');
    expect(places(told)).toHaveLength(2);
    expect(told.bad).toEqual([]);
    expect(told.others).toEqual(['listening, at last', 'lat,lon', 'still here']);
  });

  it.each([
    ['1,2,3\n', '3 columns, 2 are named'],
    ['1,"2\n', 'a quote is not closed in its line'],
    ['1,2"3\n', 'a quote stands within a cell'],
    ['1.0,abc\n', 'the longitude "abc" is no number'],
    ['63.4,\n', 'a latitude without a longitude'],
  ])('%j is bad', (line, why) => {
    const told = readAll('format: csv', `lat,lon\n${line}3,4\n`);
    expect(told.bad.map((each) => each.why)).toEqual([why]);
    expect(places(told)).toEqual([[3, 4]]);
  });
});

describe('plain text', () => {
  const yaml = String.raw`
format: text
pattern: ['^pos (?<latitude>\S+) (?<longitude>\S+)(?: (?<speed>\S+) kn)?$', '^sky (?<used>\d+)/(?<in_view>\d+)']
no-fix: '^no position(?: since (?<time>\S+))?'
fields: { speed: { unit: kn } }`;

  it('has its fields where the pattern’s groups are', () => {
    const told = readAll(yaml, 'pos 63.4 10.4 10 kn\npos 63.5 10.5\nsky 4/9\nhello\n');
    expect(places(told)).toEqual([
      [63.4, 10.4],
      [63.5, 10.5],
      [null, null],
    ]);
    // A knot is 1852/3600 m/s (NIST SP 811, appendix B).
    expect(told.reports[0]?.speedMps).toBeCloseTo(5.1444444, 6);
    expect(told.reports[1]?.speedMps).toBeNull();
    expect(told.reports[2]).toMatchObject({ used: 4, inView: 9, hasFix: null });
    expect(told.others).toEqual(['hello']);
  });

  it('says by a line that there is no fix, and since when', () => {
    const told = readAll(yaml, 'no position\nno position since 2022-02-18T09:30:00Z\n');
    expect(told.reports.map((each) => [each.hasFix, each.utcMs])).toEqual([
      [false, null],
      [false, Date.UTC(2022, 1, 18, 9, 30)],
    ]);
  });

  it('is bad where a group is no value', () => {
    expect(readAll(yaml, 'pos N63 E10\n').bad).toEqual([
      { text: 'pos N63 E10', why: 'the latitude "N63" is no number' },
    ]);
  });

  it('says of what came in another encoding that it is not UTF-8', () => {
    expect(readAll(yaml, 'pos 63\ufffd4 10\n').bad[0]?.why).toContain('(it is not UTF-8)');
  });
});
