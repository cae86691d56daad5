import { lstatSync, readFileSync, readlinkSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJournal, sentStream } from './journal.js';
import { Lodestub, lodestub, SerialHost, sleep, temporaryFolder, until } from './process.js';

const folder = temporaryFolder();
const hot = join(folder, 'hot.yaml');
writeFileSync(
  hot,
  'lodestub: 1\nstart: now\nduration: 1 h\nreceiver: { start: hot }\nroute:\n  - { hold: 1 h, at: [52.375, 9.72, 84 m] }\n',
);

/** What `started:` and a fixed real-time clock of a loaded machine may differ by, beside what is measured, ms. */
const START_MS = 3000;

/** The fields of the sentences of one name in a stream. */
function fieldsOf(stream: string, name: string): string[][] {
  return stream
    .split('\r\n')
    .filter((line) => line.slice(3, 6) === name)
    .map((line) => line.slice(0, line.lastIndexOf('*')).split(','));
}

describe('what run prints', () => {
  it.concurrent('port and start are the first two lines on standard output, and nothing follows', async () => {
    const beforeMs = Date.now();
    const { code, stdout, stderr } = await lodestub(['run', '--for', '2 s', '--pace', '4']);
    expect(code).toBe(0);
    const [, started] =
      /^port: \/dev\/pts\/\d+\nstarted: (\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z)\n$/.exec(stdout) ?? [];
    expect(started, stdout).toBeDefined();
    const startedMs = Date.parse(started as string);
    expect(startedMs).toBeGreaterThanOrEqual(beforeMs);
    expect(startedMs).toBeLessThanOrEqual(Date.now());
    expect(stderr).toContain('SIMULATED DATA');
    expect(stderr).not.toContain('port: ');
  });

  it.concurrent('with --port stdout they go to standard error, and standard output holds the bytes alone', async () => {
    const out = join(folder, 'same.nmea');
    const { code, stdout, stderr } = await lodestub([
      'run',
      'bench',
      '--port',
      'stdout',
      '--for',
      '3 s',
      '--pace',
      '10',
    ]);
    expect(code).toBe(0);
    expect(stderr).toMatch(/^port: stdout\nstarted: .+Z$/m);
    expect((await lodestub(['write', 'bench', '--for', '3 s', '--out', out])).code).toBe(0);
    expect(stdout).toBe(readFileSync(out, 'latin1'));
    expect(stdout).toMatch(/^\$GPTXT,.+SIMULATED.+\r\n(\$[ -~]+\*[0-9A-F]{2}\r\n)+$/);
  });

  it.concurrent('goes on when the reader of the two lines has gone', async () => {
    const run = new Lodestub(['run', '--for', '3 s', '--pace', '4', '--port', 'file:/dev/null']);
    run.child.stdout?.once('data', () => run.child.stdout?.destroy());
    const { code, stderr } = await run.ended;
    expect({ code, trace: /^ +at /m.test(stderr) }).toEqual({ code: 0, trace: false });
  });
});

describe('what ends a run', () => {
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
    it.concurrent(`${signal}: code 0, link gone, stream and journal whole and in agreement`, async () => {
      const name = signal.toLowerCase();
      const [link, journal] = [join(folder, `${name}.link`), join(folder, `${name}.jsonl`)];
      const run = new Lodestub(['run', hot, '--link', link, '--journal', journal, '--baud', '4800']);
      const { port } = await run.begun();
      expect(readlinkSync(link)).toBe(port);
      const host = new SerialHost(link, 4800);
      await host.ready();
      await until(() => host.bytes().length > 300, 'some sentences');
      run.signal(signal);
      const ended = await run.ended;
      expect(ended).toMatchObject({ code: 0, signal: null });
      expect(ended.stdout.split('\n')).toHaveLength(3);
      expect(lstatSync(link, { throwIfNoEntry: false })).toBeUndefined();
      await host.ended;
      const records = readJournal(journal);
      const sent = sentStream(records);
      expect(sent.endsWith('\r\n')).toBe(true);
      expect(sent.endsWith(host.bytes())).toBe(true);
      const end = records.at(-1);
      expect(end).toMatchObject({ type: 'end', bytes: sent.length });
      expect(end?.sentences).toBe(records.filter(({ type }) => type === 'sentence').length);
      expect(end?.epochs).toBe(records.filter(({ type }) => type === 'epoch').length);
      expect(records.filter(({ type }) => type === 'host').map(({ event }) => event)).toEqual(['open', 'speed']);
    });
  }

  it.concurrent('Ctrl-C with a file as port: the file ends in a whole line, the journal has the same bytes', async () => {
    const [out, journal] = [join(folder, 'stopped.nmea'), join(folder, 'stopped.jsonl')];
    const run = new Lodestub(['run', '--port', `file:${out}`, '--journal', journal, '--pace', '20']);
    await run.begun();
    await sleep(700);
    run.signal('SIGINT');
    expect((await run.ended).code).toBe(0);
    const stream = readFileSync(out, 'latin1');
    expect(stream.endsWith('\r\n')).toBe(true);
    expect(stream).toBe(sentStream(readJournal(journal)));
  });

  it.concurrent('Ctrl-C during write: what is there is whole lines, journal and stream agree', async () => {
    const [out, journal] = [join(folder, 'broken-off.nmea'), join(folder, 'broken-off.jsonl')];
    const write = new Lodestub(['write', 'bench', '--for', '360 d', '--out', out, '--journal', journal]);
    await until(() => (statSync(journal, { throwIfNoEntry: false })?.size ?? 0) > 100_000, 'the journal to grow');
    write.signal('SIGINT');
    expect((await write.ended).code).toBe(0);
    const stream = readFileSync(out, 'latin1');
    expect(stream.endsWith('\r\n')).toBe(true);
    const records = readJournal(journal);
    expect(sentStream(records) === stream).toBe(true);
    expect(records.at(-1)).toMatchObject({ type: 'end', bytes: stream.length });
  });

  it.concurrent('--for: as long as it says', async () => {
    const run = new Lodestub(['run', '--for', '2 s', '--port', 'file:/dev/null']);
    const { startedMs } = await run.begun();
    expect((await run.ended).code).toBe(0);
    const tookMs = Date.now() - startedMs;
    expect(tookMs).toBeGreaterThanOrEqual(2000);
    expect(tookMs).toBeLessThan(2000 + START_MS);
  });

  it.concurrent('--pace 10: 20 s in two', async () => {
    const journal = join(folder, 'pace.jsonl');
    const run = new Lodestub([
      'run',
      '--for',
      '20 s',
      '--pace',
      '10',
      '--port',
      'file:/dev/null',
      '--journal',
      journal,
    ]);
    const { startedMs } = await run.begun();
    expect((await run.ended).code).toBe(0);
    const tookMs = Date.now() - startedMs;
    expect(tookMs).toBeGreaterThanOrEqual(2000);
    expect(tookMs).toBeLessThan(2000 + START_MS);
    expect(readJournal(journal).at(-1)).toMatchObject({ type: 'end', epochs: 20 });
  });
});

describe('what a run takes from the command line', () => {
  it.concurrent('start: now: RMC tells the time of the machine, to the second', async () => {
    const journal = join(folder, 'now.jsonl');
    const run = new Lodestub(['run', hot, '--port', 'stdout', '--for', '4 s', '--journal', journal]);
    const { startedMs } = await run.begun('stderr');
    const times: number[] = [];
    let seen = 0;
    run.child.stdout?.on('data', () => {
      const whole = run.stdout.slice(0, run.stdout.lastIndexOf('\n'));
      const rmc = fieldsOf(whole, 'RMC');
      for (const fields of rmc.slice(seen)) {
        if (fields[9] !== '') times.push(Date.now() - timeOf(fields[1] as string, fields[9] as string));
      }
      seen = rmc.length;
    });
    expect((await run.ended).code).toBe(0);
    expect(times.length).toBeGreaterThanOrEqual(2);
    // The module speaks of an epoch after it, and before the next.
    for (const lateMs of times) expect(lateMs >= 0 && lateMs < 1000, `${lateMs} ms`).toBe(true);
    const first = readJournal(journal).find(({ type }) => type === 'epoch');
    const tickLateMs = startedMs - Date.parse(first?.utc ?? '');
    expect(tickLateMs >= 0 && tickLateMs < 1000, `${tickLateMs} ms`).toBe(true);
  });

  it.concurrent('--at "63.43, 10.39, 20 m": the truth stands there', async () => {
    const journal = join(folder, 'at.jsonl');
    const args = ['run', '--at', '63.43, 10.39, 20 m', '--for', '2 s', '--pace', '10', '--journal', journal];
    expect((await lodestub(args)).code).toBe(0);
    const epochs = readJournal(journal).filter(({ type }) => type === 'epoch');
    expect(epochs).toHaveLength(2);
    for (const { truth } of epochs) {
      expect(truth).toMatchObject({ latitudeDeg: 63.43, longitudeDeg: 10.39, altitudeMslM: 20, speedMps: 0 });
    }
  });

  it.concurrent('--track: the truth begins at the first point and is at the second when its time comes', async () => {
    const [track, journal] = [join(folder, 'way.gpx'), join(folder, 'track.jsonl')];
    const point = (lat: number, lon: number, second: string) =>
      `<trkpt lat="${lat}" lon="${lon}"><ele>10</ele><time>2024-05-05T10:00:${second}Z</time></trkpt>`;
    const points = `${point(60, 5, '00')}${point(60.0002, 5.0001, '04')}${point(60.0004, 5.0002, '08')}`;
    writeFileSync(track, `<gpx version="1.1"><trk><trkseg>${points}</trkseg></trk></gpx>`);
    expect((await lodestub(['run', '--track', track, '--pace', '20', '--journal', journal])).code).toBe(0);
    const epochs = readJournal(journal).filter(({ type }) => type === 'epoch');
    /** Centimetres of latitude: points are met, not approached. */
    const POINT_DEG = 1e-7;
    for (const [index, latitudeDeg] of [
      [0, 60],
      [4, 60.0002],
    ] as const) {
      expect(Math.abs((epochs[index]?.truth?.latitudeDeg ?? 0) - latitudeDeg)).toBeLessThan(POINT_DEG);
    }
  });

  it.concurrent('--seed, --module and --baud are on record in the journal, and change the bytes', async () => {
    const base = ['--for', '20 s', '--pace', '100'];
    const run = async (name: string, ...more: string[]) => {
      const [out, journal] = [join(folder, `${name}.nmea`), join(folder, `${name}.jsonl`)];
      const ended = await lodestub(['run', 'bench', ...base, '--port', `file:${out}`, '--journal', journal, ...more]);
      expect(ended.code, ended.stderr).toBe(0);
      return { facts: readJournal(journal)[0], bytes: readFileSync(out, 'latin1') };
    };
    const [plain, again, seeded, older, fast] = await Promise.all([
      run('plain'),
      run('again'),
      run('seeded', '--seed', '9'),
      run('older', '--module', 'older-4800'),
      run('fast', '--baud', '38400'),
    ]);
    expect(plain.facts).toMatchObject({ seed: 1, module: 'single-band-9600', baud: 9600 });
    expect(again.bytes).toBe(plain.bytes);
    expect(seeded.facts).toMatchObject({ seed: 9 });
    expect(seeded.bytes).not.toBe(plain.bytes);
    expect(older.facts).toMatchObject({ module: 'older-4800', baud: 4800 });
    expect(older.bytes).not.toBe(plain.bytes);
    expect(fast.facts).toMatchObject({ module: 'single-band-9600', baud: 38400 });
  });
});

/** `hhmmss.ss` and `ddmmyy` as ms since 1970. */
function timeOf(time: string, date: string): number {
  const part = (text: string, at: number) => Number(text.slice(at, at + 2));
  return (
    Date.UTC(2000 + part(date, 4), part(date, 2) - 1, part(date, 0), part(time, 0), part(time, 2), 0) +
    Number(time.slice(4)) * 1000
  );
}
