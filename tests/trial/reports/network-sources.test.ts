import { connect, createServer } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { ReadReport } from '../../../src/trial/reports/report-reader.js';
import { openReports, type ReportSource } from '../../../src/trial/reports/report-source.js';
import { NOW_MS, settingsOf } from './helper.js';

let reports: ReadReport[];
let bad: string[];
let source: ReportSource;

const latitudes = () => reports.map((each) => each.latitudeDeg);

async function open(yaml: string): Promise<string> {
  const take = {
    report: (read: ReadReport) => void reports.push(read),
    bad: (_: string, why: string) => void bad.push(why),
  };
  source = await openReports(settingsOf(yaml), take, { now: () => NOW_MS }, { baseFolder: '/', values: {} });
  return source.address as string;
}

/** Sends to a port in parts, each by itself, and ends. */
async function send(address: string, ...parts: readonly (string | Uint8Array)[]): Promise<string> {
  const socket = connect(Number(/:(\d+)/.exec(address)?.[1]), '127.0.0.1').setNoDelay(true);
  let answer = '';
  socket.on('data', (bytes) => {
    answer += bytes.toString();
  });
  socket.on('error', () => {});
  const closed = new Promise((resolve) => socket.once('close', resolve));
  for (const part of parts) {
    await new Promise<void>((resolve) => socket.write(part, () => resolve()));
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  socket.end();
  await closed;
  return answer;
}

beforeEach(() => {
  reports = [];
  bad = [];
});

afterEach(async () => {
  await source?.close();
});

describe('reports over TCP', () => {
  it('come over any number of connections, each a text of its own', async () => {
    const address = await open('{ from: tcp, format: csv }');
    expect(address).toMatch(/^127\.0\.0\.1:\d+$/);
    await Promise.all([send(address, 'lat,lon\n1,', '2\n'), send(address, 'lon;lat\n4;', '3')]);
    await source.close();
    expect(latitudes().sort()).toEqual([1, 3]);
    expect(bad).toEqual([]);
  });

  it('may be cut in the middle of a character', async () => {
    const address = await open(String.raw`{ from: tcp, format: text, pattern: '^(?<lat>\S+) (?<lon>\S+) ø$' }`);
    const bytes = Buffer.from('1 2 ø\n');
    await send(address, bytes.subarray(0, 5), bytes.subarray(5));
    await source.close();
    expect(latitudes()).toEqual([1]);
  });

  it('end when the case does, although the host holds its connection', async () => {
    const address = await open('{ from: tcp, format: json-lines }');
    const sent = send(address, '{"lat":1,"lon":2}\n');
    const idle = connect(Number(address.split(':')[1]), '127.0.0.1');
    idle.on('error', () => {});
    await sent;
    await source.close();
    expect(latitudes()).toEqual([1]);
  });

  it.each(['tcp', 'http'])('or HTTP, at a port that is taken, say so (%s)', async (kind) => {
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', () => resolve()));
    const { port } = other.address() as { port: number };
    await expect(open(`{ from: { ${kind}: ${port} }, format: csv }`)).rejects.toThrow(
      `trial.port-busy: reports.from, port ${port}: another program listens there.`,
    );
    other.close();
  });
});

describe('reports over HTTP', () => {
  const post = (address: string, body: string | Uint8Array, more: RequestInit = {}) =>
    fetch(`${address}any/path?a=b`, { method: 'POST', body: body as BodyInit, ...more });

  it('are one, a list, several lines, or written over several lines, and are answered with 204', async () => {
    const address = await open('{ from: http, format: json-lines }');
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);
    for (const body of [
      '{"lat":1,"lon":2}',
      '[{"lat":3,"lon":4},{"lat":5,"lon":6}]',
      '{"lat":7,"lon":8}\n{"lat":9,"lon":10}\n',
      '{\n  "lat": 11,\n  "lon": 12\n}\n',
    ]) {
      const answer = await post(address, body);
      expect([answer.status, await answer.text()]).toEqual([204, '']);
    }
    expect((await post(address, '{"lat":13,"lon":14}', { method: 'PUT' })).status).toBe(204);
    expect(latitudes()).toEqual([1, 3, 5, 7, 9, 11, 13]);
    expect(bad).toEqual([]);
  });

  it.each([
    ['{"lat":95,"lon":2}', 400, 'the latitude 95 deg, -90 to 90 allowed'],
    ['hello', 400, "it is not JSON: 'h' is out of place"],
    [' ', 400, 'an empty body'],
    ['x'.repeat(1_000_001), 413, 'a body of more than 1000000 bytes'],
  ])('that cannot be read are bad, and the host is told: %.20s', async (body, status, why) => {
    const answer = await post(await open('{ from: http, format: json-lines }'), body);
    expect(answer.status).toBe(status);
    expect(await answer.text()).toBe(`${why}\n`);
    expect(bad).toEqual([why]);
  });

  it('are not asked for, and not packed', async () => {
    const address = await open('{ from: http, format: json-lines }');
    const got = await fetch(address);
    expect([got.status, got.headers.get('allow')]).toEqual([405, 'POST, PUT']);
    expect((await post(address, 'x', { headers: { 'content-encoding': 'gzip' } })).status).toBe(415);
    expect(bad).toEqual(['a body in the encoding gzip']);
  });

  it('that are no HTTP, or broken off, are bad', async () => {
    const address = await open('{ from: http, format: json-lines }');
    expect(await send(address, 'hello\r\n\r\n')).toMatch(/^HTTP\/1\.1 400 /);
    await send(address, 'POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\n{"lat":1');
    await source.close();
    expect(bad[0]).toMatch(/^a request that is no HTTP/);
    expect(bad).toHaveLength(2);
    expect(reports).toEqual([]);
  });

  it('do not keep the case from ending, although a connection stays open', async () => {
    const address = await open('{ from: http, format: json-lines }');
    const idle = connect(Number(/:(\d+)/.exec(address)?.[1]), '127.0.0.1');
    idle.on('error', () => {});
    idle.write('POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\n');
    await new Promise((resolve) => setTimeout(resolve, 50));
    await source.close();
    expect(reports).toEqual([]);
  });
});
