import { createSocket } from 'node:dgram';
import { copyFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';
import GPS from 'gps';
import { parseNmeaSentence } from 'nmea-simple';
import { beforeAll, describe, expect, it } from 'vitest';
import { type JournalLine, readJournal, sentStream } from '../cli/journal.js';
import { Lodestub, lodestub, SerialHost, temporaryFolder } from '../cli/process.js';

const DATA = new URL('../../../shared/data/', import.meta.url).pathname;
const ALMANAC = join(DATA, 'almanac/yuma-week2197.txt');
const TRACK = join(DATA, 'tracks/car-trip.gpx');
const hasData = existsSync(ALMANAC) && existsSync(TRACK);

const folder = temporaryFolder();
const scenario = join(folder, 'trip.yaml');
const whole = { out: join(folder, 'trip.nmea'), journal: join(folder, 'trip.jsonl') };
const BAUD = 9600;

/** Error of a single-frequency receiver under an open sky, m: far beyond its 3 m, far below a wrong place. */
const POSITION_M = 25;
/** Truth at the time of a recorded point: the point, to what its ten decimals and ours are worth, m. */
const POINT_M = 0.01;
/** Length of a degree of latitude, m, roughly: for differences of some metres. */
const DEGREE_M = 111_200;
/** How much of the run the host may miss before it has opened the port: the first of the epochs. */
const JOINED_BY_S = 2;

interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

function distanceM(a: Place, b: Place): number {
  const eastDeg = (a.longitudeDeg - b.longitudeDeg) * Math.cos((b.latitudeDeg * Math.PI) / 180);
  return DEGREE_M * Math.hypot(a.latitudeDeg - b.latitudeDeg, eastDeg);
}

/** The recorded points of the track, s after the first: read by pattern, without our reader. */
function trackPoints(): (Place & { readonly timeS: number })[] {
  const pattern = /lat="([^"]+)" lon="([^"]+)"><ele>[^<]+<\/ele><time>([^<]+)</g;
  const raw = [...readFileSync(TRACK, 'utf8').matchAll(pattern)].map(([, lat, lon, time]) => ({
    latitudeDeg: Number(lat),
    longitudeDeg: Number(lon),
    unixS: Date.parse(time as string) / 1000,
  }));
  return raw.map(({ unixS, ...place }) => ({ ...place, timeS: unixS - (raw[0]?.unixS as number) }));
}

/** What two independent parsers make of the positions in a stream, by UTC time of day, s; fails where they differ. */
function decoded(stream: string): Map<string, Place> {
  const places = new Map<string, Place>();
  for (const line of stream.split('\r\n').slice(0, -1)) {
    if (!/^\$..(GGA|RMC)/.test(line)) continue;
    const one = GPS.Parse(line) as unknown as { valid: boolean; lat: number; lon: number; time: Date };
    const other = parseNmeaSentence(line) as unknown as { latitude: number; longitude: number };
    expect(one.valid, line).toBe(true);
    if (one.lat === null || one.lat === 0) continue;
    const place = { latitudeDeg: one.lat, longitudeDeg: one.lon };
    expect(distanceM(place, { latitudeDeg: other.latitude, longitudeDeg: other.longitude })).toBeLessThan(POINT_M);
    places.set(one.time.toISOString().slice(11, 19), place);
  }
  return places;
}

function expectOnTrack(stream: string, journal: readonly JournalLine[]): number {
  const truths = new Map(
    journal.flatMap(({ type, utc, truth }) => (type === 'epoch' && utc && truth ? [[utc.slice(11, 19), truth]] : [])),
  );
  const places = decoded(stream);
  for (const [time, place] of places) {
    const truth = truths.get(time);
    expect(truth, time).toBeDefined();
    expect(distanceM(place, truth as Place), time).toBeLessThan(POSITION_M);
  }
  return places.size;
}

beforeAll(async () => {
  if (!hasData) return;
  copyFileSync(ALMANAC, join(folder, 'week2197.txt'));
  copyFileSync(TRACK, join(folder, 'trip.gpx'));
  writeFileSync(
    scenario,
    'lodestub: 1\ntitle: A car trip of December under the sky of February\nseed: 2197\n' +
      'start: 2022-02-18T09:30:00Z\nmodule: single-band-9600\nreceiver: { start: hot }\n' +
      'sky: { almanac: ./week2197.txt }\nroute:\n  - { track: ./trip.gpx }\n',
  );
  const ended = await lodestub(['write', scenario, '--out', whole.out, '--journal', whole.journal]);
  expect(ended, ended.stderr).toMatchObject({ code: 0, stdout: '' });
});

describe.skipIf(!hasData)('a US Coast Guard almanac and a recorded car trip (needs the data files)', () => {
  it('write: the truth meets every recorded point, and what is reported follows it', () => {
    const journal = readJournal(whole.journal);
    const stream = readFileSync(whole.out, 'latin1');
    expect(sentStream(journal) === stream).toBe(true);
    const epochs = journal.filter(({ type }) => type === 'epoch');
    const points = trackPoints();
    expect(points.length).toBeGreaterThan(100);
    for (const point of points) {
      const truth = epochs[point.timeS]?.truth;
      if (truth !== undefined) expect(distanceM(truth, point), `${point.timeS} s`).toBeLessThan(POINT_M);
    }
    // All but the few epochs before the first fix.
    expect(expectOnTrack(stream, journal)).toBeGreaterThan(epochs.length - 10);
  });

  it.concurrent('run: a host over serialport in another process gets just those bytes from the pty, and they decode', async () => {
    const journal = join(folder, 'run.jsonl');
    const run = new Lodestub(['run', scenario, '--for', '12 s', '--journal', journal]);
    const { port } = await run.begun();
    const host = new SerialHost(port, BAUD);
    expect((await run.ended).code).toBe(0);
    await host.ended;
    const records = readJournal(journal);
    const expected = await written('12 s');
    expect(sentStream(records) === expected).toBe(true);
    expect(host.bytes().length).toBeGreaterThan(expected.length / 2);
    expect(expected.endsWith(host.bytes())).toBe(true);
    expect(expectOnTrack(host.bytes().slice(host.bytes().indexOf('$')), records)).toBeGreaterThan(10 - JOINED_BY_S);
  });

  it.concurrent('the same bytes over tcp, udp, standard output and into a file', async () => {
    const [expected, ...got] = await Promise.all([written('15 s'), overTcp(), overUdp(), overStdout(), intoFile()]);
    const [tcp, udp, stdout, file] = got as [string, string, string, string];
    expect(stdout === expected).toBe(true);
    expect(file === expected).toBe(true);
    expect(udp === expected).toBe(true);
    expect(tcp.length).toBeGreaterThan(expected.length / 2);
    expect(expected.endsWith(tcp)).toBe(true);
  });
});

/** What `write` writes in so long. */
async function written(duration: string): Promise<string> {
  const out = join(folder, `${duration}.nmea`);
  expect((await lodestub(['write', scenario, '--out', out, '--for', duration])).code).toBe(0);
  return readFileSync(out, 'latin1');
}

const quickly = (port: string) => new Lodestub(['run', scenario, '--for', '15 s', '--pace', '5', '--port', port]);

async function overTcp(): Promise<string> {
  const run = quickly('tcp:0');
  const { port } = await run.begun();
  let text = '';
  const client = connect(Number(port.split(':').at(-1)), '127.0.0.1');
  client.setEncoding('latin1').on('data', (part) => {
    text += part;
  });
  const closed = new Promise((resolve) => client.on('close', resolve));
  expect((await run.ended).code).toBe(0);
  await closed;
  return text;
}

async function overUdp(): Promise<string> {
  const socket = createSocket('udp4');
  let text = '';
  socket.on('message', (part) => {
    text += part.toString('latin1');
  });
  await new Promise<void>((resolve) => socket.bind(0, '127.0.0.1', () => resolve()));
  expect((await quickly(`udp:127.0.0.1:${socket.address().port}`).ended).code).toBe(0);
  await new Promise((resolve) => setTimeout(resolve, 100));
  socket.close();
  return text;
}

async function overStdout(): Promise<string> {
  const { code, stdout } = await quickly('stdout').ended;
  expect(code).toBe(0);
  return stdout;
}

async function intoFile(): Promise<string> {
  const out = join(folder, 'port.nmea');
  expect((await quickly(`file:${out}`).ended).code).toBe(0);
  return readFileSync(out, 'latin1');
}
