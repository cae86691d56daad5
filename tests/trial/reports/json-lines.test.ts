import { describe, expect, it } from 'vitest';
import { readAll, reading } from './helper.js';

const JSON_LINES = 'format: json-lines';
const ONE = '{"t":"2022-02-18T09:30:01Z","lat":63.4305,"lon":10.3951,"alt":12.5,"speed":4.5,"course":90,"used":7}';

describe('JSON Lines', () => {
  it('tell a report by the usual names', () => {
    const { reports, bad } = readAll(JSON_LINES, `${ONE}\n`);
    expect(bad).toEqual([]);
    expect(reports).toEqual([
      {
        text: ONE,
        utcMs: Date.UTC(2022, 1, 18, 9, 30, 1),
        isDateTold: true,
        hasFix: true,
        latitudeDeg: 63.4305,
        longitudeDeg: 10.3951,
        altitudeMslM: 12.5,
        speedMps: 4.5,
        courseDeg: 90,
        used: 7,
        inView: null,
      },
    ]);
  });

  it('tell a report by names, pointers, units and words for no fix', () => {
    const yaml = `
format: json-lines
time: unix-s
fields:
  latitude: { field: /pos/lat, unit: rad }
  longitude: /pos/lon
  height: { field: h, unit: ft }
  speed: { field: v, unit: km/h }
  course: trk
  time: t
  used: /sats/used
  in-view: n
  fix: { field: state, none: [NO_FIX, 0] }`;
    const text =
      '{"t":1645176600.5,"pos":{"lat":0.5,"lon":-10},"h":100,"v":36,"trk":-90,"sats":{"used":["G01","G02"]},"n":"9"}';
    const { reports, bad } = readAll(yaml, `${text}\n${text.replace('{', '{"state":"no_fix",')}\n`);
    expect(bad).toEqual([]);
    const [read, none] = reports;
    expect(read?.utcMs).toBe(1645176600500);
    expect(read?.latitudeDeg).toBeCloseTo(28.64788975654116, 12);
    expect(read).toMatchObject({ longitudeDeg: -10, speedMps: 10, courseDeg: 270, used: 2, inView: 9, hasFix: true });
    // An international foot is 0.3048 m exactly (NIST SP 811, appendix B).
    expect(read?.altitudeMslM).toBeCloseTo(30.48, 12);
    expect(none).toMatchObject({ hasFix: false, longitudeDeg: -10 });
  });

  it('read the position of the W3C Geolocation API as it is', () => {
    const text =
      '{"coords":{"latitude":63.4,"longitude":10.4,"altitude":30,"heading":45,"speed":2},"timestamp":1645176600000}';
    const { reports } = readAll('{ format: json-lines, time: unix-ms }', text);
    expect(reports[0]).toMatchObject({
      latitudeDeg: 63.4,
      altitudeMslM: 30,
      courseDeg: 45,
      speedMps: 2,
      utcMs: 1645176600000,
    });
  });

  it.each([
    ['a blank place says that there is none', '{"lat":null,"lon":null}', false],
    ['a place is a fix', '{"lat":1,"lon":2}', true],
    ['a place with a word for none is none', '{"lat":1,"lon":2,"fix":"none"}', false],
    ['a place that is not valid is none', '{"lat":1,"lon":2,"valid":false}', false],
    ['a word for none is enough', '{"status":"no fix","time":"2022-02-18T09:30:00Z"}', false],
    ['satellites alone say nothing of the fix', '{"used":3}', null],
  ])('%s', (_, text, hasFix) => {
    expect(readAll(JSON_LINES, text).reports.map((each) => each.hasFix)).toEqual([hasFix]);
  });

  it('without a place say that there is no fix where the trial says so', () => {
    const { reports } = readAll('{ format: json-lines, without-place: no-fix }', '{"used":3}\n');
    expect(reports[0]?.hasFix).toBe(false);
  });

  it.each([
    ['{"lat":95,"lon":10}', 'the latitude 95 deg, -90 to 90 allowed'],
    ['{"lat":63,"lon":190.5}', 'the longitude 190.5 deg, -180 to 180 allowed'],
    ['{"lat":63}', 'a latitude without a longitude'],
    ['{"lat":"63,43","lon":10}', 'the latitude "63,43" has a comma for a decimal point'],
    ['{"lat":"abc","lon":10}', 'the latitude "abc" is no number'],
    ['{"lat":"NaN","lon":10}', 'the latitude "NaN" is no number'],
    ['{"lat":NaN,"lon":10}', 'it has NaN, which JSON does not know'],
    ['{"lat":63,"lon":None}', 'it has None, which JSON does not know'],
    ["{'lat':63,'lon':10}", 'its names stand in single quotes'],
    ['{"lat":63,"lon":10', 'it ends in the middle'],
    ['{"lat":63,"lon":10,"speed":-1}', 'the speed -1 m/s is negative'],
    ['{"lat":63,"lon":10,"course":900}', 'the course 900 deg, -360 to 360 allowed'],
    ['{"lat":63,"lon":10,"used":2.5}', 'used 2.5 is no count'],
    ['{"lat":true,"lon":10}', 'the latitude true is no number'],
    ['{"lat":63,"lon":10,"time":1645176600}', 'the time 1645176600 is no text (time: unix-s reads such)'],
    ['{"lat":63,"lon":10,"time":"yesterday"}', 'the time "yesterday" is no date and time in ISO 8601'],
    ['[1,2]', 'it is no JSON object'],
  ])('%s is bad', (text, why) => {
    const { reports, bad } = readAll(JSON_LINES, `${text}\n`);
    expect(reports).toEqual([]);
    expect(bad[0]).toEqual({ text: text === '[1,2]' ? '1' : text, why });
  });

  it('take numbers as text, and words for nothing where the trial names them', () => {
    const yaml = '{ format: json-lines, blank: [NaN, --] }';
    const { reports, bad } = readAll(yaml, '{"lat":"63.4","lon":" 10.4 "}\n{"lat":"NaN","lon":"--"}\n');
    expect(bad).toEqual([]);
    expect(reports.map(({ latitudeDeg, hasFix }) => [latitudeDeg, hasFix])).toEqual([
      [63.4, true],
      [null, false],
    ]);
  });

  it('leave lines of a log on the host’s own output alone, and tell them as bad elsewhere', () => {
    const text = 'INFO listening\n{"level":"info","msg":"started","time":"x"}\n{"lat":1,"lon":2}\n';
    const own = readAll(JSON_LINES, text);
    expect([own.reports.length, own.bad.length, own.others.length]).toEqual([1, 0, 2]);
    const posted = readAll('{ from: tcp, format: json-lines }', text);
    expect([posted.reports.length, posted.bad.length, posted.others.length]).toEqual([1, 1, 1]);
  });

  it('say which names were there where none of the fields was', () => {
    const { reader } = reading(JSON_LINES);
    reader.push('{"y":63.4,"x":10.4}\n');
    expect(reader.hint()).toBe(
      '1 without any of the fields, such as latitude or lat or latitudeDeg and longitude or lon or lng or long or ' +
        'longitudeDeg; what they have is y, x',
    );
  });

  it('mind byte order marks, CR LF, CR alone, blank lines and a last line without an end', () => {
    const { reports, bad } = readAll(JSON_LINES, '\ufeff{"lat":1,"lon":2}\r\n\r\n{"lat":3,"lon":4}\r{"lat":5,"lon":6}');
    expect(bad).toEqual([]);
    expect(reports.map((each) => each.latitudeDeg)).toEqual([1, 3, 5]);
  });

  it('cut lines that are too long, and go on with the next one', () => {
    const { reports, bad } = readAll(JSON_LINES, `{"a":"${'x'.repeat(70_000)}"}\n{"lat":1,"lon":2}\n`);
    expect(bad.map(({ text, why }) => [text.length, why])).toEqual([[500, 'a line of more than 65536 characters']]);
    expect(reports).toHaveLength(1);
  });

  it('survive brackets that are nested as deep as a line allows, and names that every object inherits', () => {
    const deep = `{"lat":${'['.repeat(30_000)}${']'.repeat(30_000)},"lon":1}`;
    const { bad, others } = readAll(JSON_LINES, `${deep}\n{"__proto__":{"lat":1,"lon":2}}\n`);
    expect(bad).toHaveLength(1);
    expect(others).toHaveLength(1);
    const pointer = '{ format: json-lines, fields: { latitude: /constructor/name, longitude: /toString } }';
    expect(readAll(pointer, '{"a":1}\n').reports).toEqual([]);
  });

  it('that are a whole object need no line’s end once nothing more comes', () => {
    const { reader, reports } = reading('{ from: { file: a }, format: json-lines }');
    reader.push('{"lat":1,"lon');
    reader.settle();
    expect(reports).toEqual([]);
    reader.push('":2}');
    reader.settle();
    expect(reports).toHaveLength(1);
    reader.push('\n');
    reader.end();
    expect(reports).toHaveLength(1);
  });
});

describe('a text that begins again', () => {
  const line = (n: number) => `{"lat":${n},"lon":2,"time":"2022-02-18T09:30:0${n}Z"}\n`;

  it('tells nothing twice that it begins with as before', () => {
    const { reader, reports } = reading('{ from: { file: a }, format: json-lines }');
    reader.push(line(1) + line(2));
    reader.restart();
    reader.restart();
    reader.push(line(1) + line(2) + line(3));
    reader.restart();
    reader.push(line(4));
    expect(reports.map((each) => each.latitudeDeg)).toEqual([1, 2, 3, 4]);
  });

  it('tells again what is so now, where it holds one report without a time', () => {
    const { reader, reports } = reading('{ from: { file: a }, format: json-lines }');
    for (let i = 0; i < 3; i++) {
      reader.push('{"lat":1,"lon":2}\n');
      reader.restart();
    }
    expect(reports).toHaveLength(3);
  });
});
