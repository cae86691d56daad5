import { existsSync, lstatSync, readFileSync, readlinkSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJournal, sentStream } from './journal.js';
import { Lodestub, lodestub, Running, temporaryFolder } from './process.js';

const folder = temporaryFolder();
const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const isLinux = process.platform === 'linux';
const inFolder = (name: string) => join(folder, name);

/** What the shell lets a file become, bytes: 20 blocks of 1024. */
const LIMIT_BYTES = 20 * 1024;

/** Runs `lodestub` where no file can grow beyond 20 KB. */
function cramped(...args: string[]) {
  return new Running('bash', ['-c', 'ulimit -f 20; exec "$0" "$@"', process.execPath, BIN, ...args], { cwd: folder })
    .ended;
}

function expectFull(ended: { code: number | null; stderr: string }, path: string): void {
  expect(ended.code, ended.stderr).toBe(1);
  expect(ended.stderr.trimEnd().split('\n').at(-1)).toMatch(new RegExp(`^out\\.full: ${path}: .+\\.$`));
  expect(ended.stderr).not.toMatch(/^\s+at /m);
}

describe.skipIf(!isLinux)('a disk that is full: code 1, one message, whole lines', () => {
  it.concurrent('write --out: what is there is the beginning of the stream', async () => {
    expectFull(await cramped('write', 'bench', '--out', 'full.nmea'), 'full.nmea');
    const kept = readFileSync(inFolder('full.nmea'), 'latin1');
    expect(kept.endsWith('\r\n')).toBe(true);
    // A sentence has at most 82 characters.
    expect(kept.length).toBeGreaterThan(LIMIT_BYTES - 82);
    await lodestub(['write', 'bench', '--for', '3 min', '--out', inFolder('whole.nmea')]);
    expect(readFileSync(inFolder('whole.nmea'), 'latin1').startsWith(kept)).toBe(true);
  });

  it.concurrent('write --journal: journal and stream both end in a whole line, and agree as far as both go', async () => {
    expectFull(await cramped('write', 'bench', '--out', 's.nmea', '--journal', 's.jsonl'), 's.jsonl');
    const stream = readFileSync(inFolder('s.nmea'), 'latin1');
    const sent = sentStream(readJournal(inFolder('s.jsonl')));
    expect(stream.endsWith('\r\n')).toBe(true);
    expect(sent.length).toBeGreaterThan(0);
    expect(stream.startsWith(sent)).toBe(true);
  });

  it.concurrent('run --port file:, and run --journal', async () => {
    const [file, journal] = await Promise.all([
      cramped('run', 'bench', '--pace', '1000', '--port', 'file:run.nmea', '--for', '10 min'),
      cramped('run', 'bench', '--pace', '100', '--link', 'run-link', '--journal', 'run.jsonl', '--for', '10 min'),
    ]);
    expectFull(file, 'run.nmea');
    expect(readFileSync(inFolder('run.nmea'), 'latin1').endsWith('\r\n')).toBe(true);
    expectFull(journal, 'run.jsonl');
    readJournal(inFolder('run.jsonl'));
    expect(existsSync(inFolder('run-link'))).toBe(false);
  });

  it.concurrent('/dev/full under --out, --journal and standard output', async () => {
    const [out, journal] = await Promise.all([
      lodestub(['write', 'bench', '--for', '10 s', '--out', '/dev/full']),
      lodestub(['run', 'bench', '--for', '2 s', '--pace', '10', '--journal', '/dev/full']),
    ]);
    expectFull(out, '/dev/full');
    expectFull(journal, '/dev/full');
  });
});

describe('files and links that are there already', () => {
  it.concurrent('a journal that a run is writing is left to it', async () => {
    const args = ['bench', '--journal', 'shared.jsonl'];
    const run = new Lodestub(['run', ...args], { cwd: folder });
    await run.begun();
    const second = await lodestub(['run', ...args, '--for', '1 s'], { cwd: folder });
    expect(second).toMatchObject({ code: 2, stdout: '' });
    expect(second.stderr).toMatch(/^out\.busy: shared\.jsonl: /m);
    run.signal('SIGTERM');
    expect((await run.ended).code).toBe(0);
    expect(readJournal(inFolder('shared.jsonl')).at(-1)).toMatchObject({ type: 'end' });
  });

  it.concurrent('an earlier stream and journal are replaced', async () => {
    const args = ['write', 'bench', '--out', 'again.nmea', '--journal', 'again.jsonl'];
    expect((await lodestub([...args, '--for', '60 s'], { cwd: folder })).code).toBe(0);
    expect((await lodestub([...args, '--for', '5 s'], { cwd: folder })).code).toBe(0);
    const records = readJournal(inFolder('again.jsonl'));
    expect(records.at(-1)).toMatchObject({ type: 'end', epochs: 5 });
    expect(readFileSync(inFolder('again.nmea'), 'latin1')).toBe(sentStream(records));
  });

  it.concurrent('--force replaces what is not ours', async () => {
    writeFileSync(inFolder('other.txt'), 'not ours\n');
    const args = ['write', 'bench', '--for', '5 s', '--out', 'other.txt'];
    expect((await lodestub(args, { cwd: folder })).code).toBe(2);
    expect(readFileSync(inFolder('other.txt'), 'utf8')).toBe('not ours\n');
    expect((await lodestub([...args, '--force'], { cwd: folder })).code).toBe(0);
    expect(readFileSync(inFolder('other.txt'), 'latin1')).toMatch(/^\$GPTXT/);
  });

  it.concurrent('a link left by a run that was killed is taken over; one that leads somewhere is not', async () => {
    symlinkSync('/dev/pts/does-not-exist', inFolder('stale'));
    const run = new Lodestub(['run', '--link', 'stale'], { cwd: folder });
    const { port } = await run.begun();
    expect(readlinkSync(inFolder('stale'))).toBe(port);
    const second = await lodestub(['run', '--link', 'stale'], { cwd: folder });
    expect(second).toMatchObject({ code: 2, stdout: '' });
    expect(second.stderr).toMatch(/^link\.taken: stale: /);
    expect(readlinkSync(inFolder('stale'))).toBe(port);
    run.signal('SIGTERM');
    expect((await run.ended).code).toBe(0);
    expect(lstatSync(inFolder('stale'), { throwIfNoEntry: false })).toBeUndefined();
  });
});

it.concurrent('run keeps files up to date while it goes on', async () => {
  const run = new Lodestub(['run', 'bench', '--port', 'file:live.nmea', '--journal', 'live.jsonl'], { cwd: folder });
  await run.begun();
  // Two epochs and a flush.
  await new Promise((resolve) => setTimeout(resolve, 3000));
  expect(readFileSync(inFolder('live.nmea'), 'latin1')).toMatch(/^\$GPTXT.+\r\n\$GPRMC/);
  expect(readJournal(inFolder('live.jsonl')).filter(({ type }) => type === 'epoch').length).toBeGreaterThanOrEqual(2);
  run.signal('SIGINT');
  expect((await run.ended).code).toBe(0);
});
