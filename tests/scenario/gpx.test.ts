import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { readGpx } from '../../src/scenario/gpx.js';
import { TRACK_ERROR_CODES } from '../../src/sim/trajectory/codes.js';

const GPX_1_1 = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">';

function point(latitude: number | string, longitude: number | string, inside = ''): string {
  return `<trkpt lat="${latitude}" lon="${longitude}">${inside}</trkpt>`;
}

function gpxOf(...segments: string[][]): string {
  const body = segments.map((points) => `<trkseg>${points.join('\n')}</trkseg>`).join('');
  return `<?xml version="1.0"?>\n${GPX_1_1}<trk>${body}</trk></gpx>`;
}

function time(text: string): string {
  return `<time>${text}</time>`;
}

describe('readGpx', () => {
  it('joins all segments of all tracks, also those of one point', () => {
    const text = gpxOf([point(1, 2), point(3, 4)], [point(5, 6)]);
    expect(readGpx(text, 'a.gpx')).toEqual([
      { latitudeDeg: 1, longitudeDeg: 2 },
      { latitudeDeg: 3, longitudeDeg: 4 },
      { latitudeDeg: 5, longitudeDeg: 6 },
    ]);
  });

  it('reads height and time where they are, each at its point', () => {
    const text = gpxOf([
      point(1, 2, `<ele> 7.5 </ele>${time('2022-02-18T09:30:00Z')}`),
      point(3, 4, time('2022-02-18T09:30:01.250Z')),
      point(5, 6, `<ele/>${time('2022-02-18T10:30:02+01:00')}`),
    ]);
    expect(readGpx(text, 'a.gpx')).toEqual([
      { latitudeDeg: 1, longitudeDeg: 2, altitudeMslM: 7.5, timeS: 0 },
      { latitudeDeg: 3, longitudeDeg: 4, timeS: 1.25 },
      { latitudeDeg: 5, longitudeDeg: 6, timeS: 2 },
    ]);
  });

  it('counts a leap second (2016-12-31: IERS Bulletin C 52)', () => {
    const times = ['2016-12-31T23:59:59Z', '2016-12-31T23:59:60Z', '2017-01-01T00:00:00Z'];
    const points = readGpx(gpxOf(times.map((text, i) => point(i, 0, time(text)))), 'a.gpx');
    expect(points.map(({ timeS }) => timeS)).toEqual([0, 1, 2]);
  });

  it('takes a time within an extension for no time of the point', () => {
    const extension = '<extensions><x:time xmlns:x="urn:x">12</x:time></extensions>';
    expect(readGpx(gpxOf([point(1, 2, extension), point(3, 4)]), 'a.gpx')[0]).toEqual({
      latitudeDeg: 1,
      longitudeDeg: 2,
    });
  });

  it('reads routes where there is no track, with their times, and a file without a namespace', () => {
    const text = `\uFEFF<gpx><rte><rtept lat="-1" lon="180">${time('2022-02-18T09:30:00Z')}</rtept>
      <rtept lat="-2" lon="-180">${time('2022-02-18T09:31:00Z')}</rtept></rte></gpx>`;
    expect(readGpx(text, 'a.gpx')).toEqual([
      { latitudeDeg: -1, longitudeDeg: 180, timeS: 0 },
      { latitudeDeg: -2, longitudeDeg: -180, timeS: 60 },
    ]);
  });

  const bad: Array<[string, string, string, RegExp]> = [
    ['not XML', '$GPGGA,1', 'track.xml', /^track\.xml: a\.gpx: expected a GPX file/],
    ['nothing', '', 'track.xml', /GPX/],
    ['cut off', `${GPX_1_1}<trk><trkseg>${point(1, 2)}`, 'track.xml', /a\.gpx/],
    ['wrongly nested', `${GPX_1_1}<trk><trkseg></trk></trkseg></gpx>`, 'track.xml', /a\.gpx/],
    ['another kind of XML', '<kml><trkpt lat="1" lon="2"/></kml>', 'track.empty', /a file of <kml>/],
    ['waypoints alone', `${GPX_1_1}<wpt lat="1" lon="2"/></gpx>`, 'track.empty', /Waypoints alone/],
    ['a latitude of 91', gpxOf([point(1, 2), point(91, 2)]), 'track.place', /a\.gpx, line 3: expected lat .* got "91"/],
    ['no longitude', `${GPX_1_1}<trk><trkseg><trkpt lat="1"/></trkseg></trk></gpx>`, 'track.place', /lon .* got none/],
    ['a latitude in words', gpxOf([point('1 N', 2)]), 'track.place', /got "1 N"/],
    ['a height in words', gpxOf([point(1, 2, '<ele>12 m</ele>')]), 'track.height', /got "12 m"/],
    [
      'a height below all ground',
      gpxOf([point(1, 2, '<ele>-32768</ele>')]),
      'track.height',
      /-1000 to 50000, got "-32768"/,
    ],
    ['a height in space', gpxOf([point(1, 2, '<ele>50001</ele>')]), 'track.height', /got "50001"/],
    ['a time of day', gpxOf([point(1, 2, time('09:30:00'))]), 'track.time', /got "09:30:00"/],
    ['the 30th of February', gpxOf([point(1, 2, time('2022-02-30T00:00:00Z'))]), 'track.time', /2022-02-30/],
    [
      'a time missing at the second point',
      gpxOf([point(1, 2, time('2022-02-18T09:30:00Z')), point(3, 4)]),
      'track.some-times',
      /line 3: .* got point 2 without one, point 1 with one/,
    ],
    [
      'a time at the last point only',
      gpxOf([point(1, 2), point(3, 4), point(5, 6, time('2022-02-18T09:30:00Z'))]),
      'track.some-times',
      /got point 1 without one, point 3 with one/,
    ],
  ];
  it.each(bad)('refuses %s', (_, text, code, message) => {
    const error = (() => {
      try {
        return readGpx(text, 'a.gpx');
      } catch (caught) {
        return caught;
      }
    })();
    expect(error).toBeInstanceOf(LodestubError);
    expect((error as LodestubError).code).toBe(code);
    expect((error as LodestubError).message).toMatch(message);
  });

  it('names only codes that are listed, and every one of them', () => {
    expect([...new Set(bad.map(([, , code]) => code))].sort()).toEqual(Object.keys(TRACK_ERROR_CODES).sort());
  });
});

const TRACKS = new URL('../../../shared/data/tracks/', import.meta.url).pathname;

describe('files that people recorded', () => {
  for (const [file, count, isTimed] of [
    ['car-trip.gpx', 104, true],
    ['run.gpx', 206, true],
    ['route-without-times.gpx', 0, false],
  ] as const) {
    it.skipIf(!existsSync(TRACKS + file))(`${file} is read whole`, () => {
      const text = readFileSync(TRACKS + file, 'utf8');
      const points = readGpx(text, file);
      expect(points).toHaveLength(count || text.split('<rtept ').length - 1);
      expect(points.every(({ timeS }) => (timeS !== undefined) === isTimed)).toBe(true);
      expect(points.every(({ altitudeMslM }) => altitudeMslM !== undefined)).toBe(true);
    });
  }
});
