import { execFileSync, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { type JournalLine, readJournal, sentBytes } from '../cli/journal.js';
import { Lodestub, parseArrivals, Running, temporaryFolder, until } from '../cli/process.js';
import { lineOfJournal, readExactly, ticksPerS } from '../emit/line/exact-uart.js';
import { hasGcc } from './lateness.js';

const folder = temporaryFolder();
const hosts = new URL('../hosts/', import.meta.url).pathname;
const hasPySerial = spawnSync('/usr/bin/python3', ['-c', 'import serial']).status === 0;
const cHost = join(folder, 'read-port');
if (hasGcc) execFileSync('gcc', ['-O1', '-Wall', '-o', cHost, join(hosts, 'read-port.c')]);

const PROGRAMS: Readonly<Record<string, readonly [command: string, ...args: string[]]>> = {
  C: [cHost],
  JavaScript: [process.execPath, join(hosts, 'read-port.js')],
  Python: ['/usr/bin/python3', join(hosts, 'read_port.py')],
};

/** Bytes that a host reads at a wrong speed, at least: some sentences. */
const WRONG_BYTES = 300;
const PACE = 5;
/** For a machine that is busy with other things; alone, a case takes a second or two. */
const TIMEOUT = { timeout: 120_000 };
/** Sentences that may be damaged yet after a host's speed has come right: until its UART is in step again. */
const MOST_DAMAGED = 2;
/**
 * Bytes that serialport may throw away when it is told another speed (its `setBaudRate` calls `tcflush`): those that the
 * program, on a busy machine, has not read yet. C and Python, which do not flush, lose none.
 */
const MOST_FLUSHED: Readonly<Record<string, number>> = { C: 0, JavaScript: 1024, Python: 0 };
/** The journal's microseconds: a change of speed was so much earlier or later, ms. */
const ROUNDED_MS = [0, -0.000_6, 0.000_6];

interface Seen {
  readonly got: string;
  readonly journal: readonly JournalLine[];
}

/** A module at a speed on a pty that lives until its host has read some whole sentences with a time in them. */
async function play(name: string, moduleBaud: number, hostBauds: string): Promise<Seen> {
  const lines: string[] = [];
  const module = await openModule({
    port: 'pty',
    clock: PACE,
    scenario: 'bench',
    baud: moduleBaud,
    onJournal: (line) => lines.push(line),
  });
  const host = startHost(name, module.port, hostBauds);
  await hasRead(host, hostBauds);
  await module.close();
  await host.ended;
  return { got: bytesOf(host), journal: lines.map((line) => JSON.parse(line) as JournalLine) };
}

/** The same over the command line. */
async function playCommand(name: string, moduleBaud: number, hostBauds: string): Promise<Seen> {
  const journal = join(folder, `${name}-${moduleBaud}-${hostBauds}.jsonl`);
  const run = new Lodestub(['run', 'bench', '--baud', `${moduleBaud}`, '--pace', `${PACE}`, '--journal', journal]);
  const host = startHost(name, (await run.begun()).port, hostBauds);
  await hasRead(host, hostBauds);
  run.signal('SIGINT');
  const { code, stderr } = await run.ended;
  expect(code, stderr).toBe(0);
  await host.ended;
  return { got: bytesOf(host), journal: readJournal(journal) };
}

function startHost(name: string, port: string, bauds: string): Running {
  const [command, ...args] = PROGRAMS[name] as readonly [string, ...string[]];
  return new Running(command, [...args, port, bauds]);
}

function bytesOf(host: Running): string {
  return parseArrivals(host.stdout)
    .map(({ bytes }) => bytes)
    .join('');
}

/** Has a host read so much at a wrong speed, if it is given one, and then whole sentences. */
async function hasRead(host: Running, hostBauds: string): Promise<void> {
  const said = () => `${host.stdout.length} characters read. ${host.stderr}`;
  await until(() => host.stdout.startsWith('ready\n'), said);
  let before = bytesOf(host).length;
  if (hostBauds.includes(',')) {
    await until(() => bytesOf(host).length > before + WRONG_BYTES, said);
    host.signal('SIGUSR2');
    before = bytesOf(host).length;
  }
  await until(
    () =>
      (bytesOf(host)
        .slice(before)
        .match(/\$GPZDA,[^$\r]*\*[0-9A-F]{2}\r\n/g)?.length ?? 0) >= 2,
    said,
  );
}

/** Speeds that a host set, and when, ms. */
function speedsOf(journal: readonly JournalLine[]): { baud: number; atMs: number }[] {
  return journal.flatMap(({ type, event, baud, atMs }) =>
    type === 'host' && event === 'speed' ? [{ baud: baud as number, atMs: atMs as number }] : [],
  );
}

/** What UARTs by brute force read of the journal's line, for each way in which the times of changes may be rounded. */
function readByForce(journal: readonly JournalLine[], moduleBaud: number): string[] {
  const speeds = speedsOf(journal);
  const ticks = ticksPerS([moduleBaud, ...speeds.map(({ baud }) => baud)]);
  const line = lineOfJournal(ticks, journal, sentBytes);
  const at = (ms: number) => (BigInt(Math.round(ms * 1e6)) * ticks) / 1_000_000_000n;
  return ROUNDED_MS.map((offMs) => {
    const reading = speeds.map(({ baud, atMs }) => ({ baud, from: at(atMs + offMs) }));
    return readExactly(ticks, line, [{ baud: moduleBaud, from: 0n }, ...reading])
      .map(({ byte }) => String.fromCharCode(byte))
      .join('');
  });
}

/** How many bytes one hole in `got` has, if `expected` ends with it but for that hole; else Infinity. */
function bytesMissing(expected: string, got: string): number {
  let same = 0;
  while (same < got.length && expected.at(-1 - same) === got.at(-1 - same)) same += 1;
  const before = expected.slice(0, expected.length - same);
  const begin = got.slice(0, got.length - same);
  const at = before.lastIndexOf(begin);
  return at < 0 ? Number.POSITIVE_INFINITY : before.length - at - begin.length;
}

describe.skipIf(process.platform !== 'linux')('hosts and their speeds on a pty', () => {
  const cases: readonly [name: string, present: boolean, moduleBaud: number, wrongBaud: number, how: typeof play][] = [
    ['C', hasGcc, 4800, 9600, play],
    ['C', hasGcc, 9600, 4800, play],
    ['C', hasGcc, 19_200, 9600, play],
    ['C', hasGcc, 38_400, 115_200, play],
    ['C', hasGcc, 57_600, 38_400, play],
    ['C', hasGcc, 115_200, 9600, play],
    ['C', hasGcc, 230_400, 115_200, play],
    ['C', hasGcc, 460_800, 57_600, play],
    ['C', hasGcc, 921_600, 115_200, play],
    ['C', hasGcc, 31_250, 38_400, play],
    ['C', hasGcc, 12_345, 31_250, playCommand],
    ['JavaScript', true, 9600, 19_200, play],
    ['JavaScript', true, 12_345, 115_200, play],
    ['Python', hasPySerial, 4800, 9600, play],
    ['Python', hasPySerial, 115_200, 31_250, play],
  ];
  for (const [name, present, moduleBaud, wrongBaud, how] of cases) {
    const title = `${needs(name)}: a module at ${moduleBaud} baud read at ${wrongBaud}, then at its own`;
    it.skipIf(!present).concurrent(title, TIMEOUT, async () => {
      const { got, journal } = await how(name, moduleBaud, `${wrongBaud},${moduleBaud}`);
      const speeds = speedsOf(journal);
      expect(speeds.map(({ baud }) => baud)).toEqual([wrongBaud, moduleBaud]);
      // From its coming on it got what such a UART reads, to the last byte.
      const expected = readByForce(journal, moduleBaud);
      const mostFlushed = MOST_FLUSHED[name] as number;
      expect(Math.min(...expected.map((text) => bytesMissing(text, got)))).toBeLessThanOrEqual(mostFlushed);
      const sentences = journal.filter(({ type }) => type === 'sentence');
      const later = sentences
        .filter(({ startMs }) => (startMs as number) >= (speeds[1]?.atMs as number))
        .map(({ text }) => `${text}\r\n`);
      expect(later.length).toBeGreaterThan(MOST_DAMAGED);
      expect(got.length).toBeGreaterThan(later.join('').length);
      const isClean = (from: number) => got.endsWith(later.slice(from).join(''));
      expect(Array.from({ length: MOST_DAMAGED + 1 }, (_, from) => from).some(isClean)).toBe(true);
    });
  }

  for (const [name, present, moduleBaud, how] of [
    ['C', hasGcc, 9600, play],
    ['C', hasGcc, 12_345, play],
    ['JavaScript', true, 921_600, playCommand],
    ['Python', hasPySerial, 57_600, play],
  ] as const) {
    it.skipIf(!present).concurrent(
      `${needs(name)}: at the module’s ${moduleBaud} baud, every byte from its coming on`,
      TIMEOUT,
      async () => {
        const { got, journal } = await how(name, moduleBaud, `${moduleBaud}`);
        expect(speedsOf(journal).map(({ baud }) => baud)).toEqual([moduleBaud]);
        const sent = journal.map((record) => sentBytes(record) ?? '').join('');
        expect(got.length).toBeGreaterThan(100);
        expect(sent.endsWith(got)).toBe(true);
      },
    );
  }
});

function needs(name: string): string {
  if (name === 'JavaScript') return 'JavaScript over serialport';
  return name === 'C' ? 'C over termios (needs gcc)' : 'Python over python3-serial (needs it)';
}
