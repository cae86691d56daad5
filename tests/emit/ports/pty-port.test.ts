import { type ChildProcess, execFileSync, spawn, spawnSync } from 'node:child_process';
import {
  closeSync,
  constants,
  lstatSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { afterAll, describe, expect, it } from 'vitest';
import { loadLinuxCalls } from '../../../src/emit/ports/linux-calls.js';
import type { HostEvent } from '../../../src/emit/ports/port.js';
import { openPtyPort } from '../../../src/emit/ports/pty-port.js';
import { sleep, until } from '../../contract/rigs.js';
import { compileInto } from './compiled.js';

const hosts = new URL('../../hosts/', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'pty-'));
afterAll(() => rmSync(folder, { recursive: true }));

const hasGcc = spawnSync('gcc', ['--version']).status === 0;
const hasPySerial = spawnSync('/usr/bin/python3', ['-c', 'import serial']).status === 0;
const cHost = join(folder, 'read-port');
if (hasGcc) execFileSync('gcc', ['-O1', '-Wall', '-o', cHost, join(hosts, 'read-port.c')]);

/** A write that waited for a host would take for ever; this leaves room for a loaded machine. */
const AT_ONCE_MS = 1000;
/**
 * As many of a megabyte as the kernel may hold for a host that does not read, bytes (4 KB of line buffer, 64 KB
 * before it).
 */
const KERNEL_HOLDS_BYTES = 80_000;

async function openWatched(options = {}) {
  const seen = { events: [] as HostEvent[], bytes: '', errors: [] as Error[] };
  const port = await openPtyPort(
    { baud: 9600, ...options },
    {
      hostEvent: (event) => seen.events.push(event),
      hostBytes: (bytes) => {
        seen.bytes += Buffer.from(bytes).toString('latin1');
      },
      failed: (error) => seen.errors.push(error),
    },
  );
  const count = (name: string) => seen.events.filter(({ event }) => event === name).length;
  return { port, seen, count };
}

/** Starts a host program, waits until it has set the port up, and collects what it has read. */
async function startHost(command: string, args: string[]) {
  const child: ChildProcess = spawn(command, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  let out = '';
  child.stdout!.on('data', (text) => {
    out += text;
  });
  const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
  await until(() => out.startsWith('ready\n'), `${command} ${args[0]} to be ready`);
  const text = () =>
    out
      .split('\n')
      .slice(1, -1)
      .map((line) => Buffer.from(line.split(' ')[1]!, 'hex').toString('latin1'))
      .join('');
  return { text, ended };
}

const openFds = () => readdirSync('/proc/self/fd').length;

describe('a pty and hosts in other processes', () => {
  const programs: [name: string, present: boolean, command: string, args: string[]][] = [
    ['node over serialport', true, process.execPath, [join(hosts, 'read-port.js')]],
    ['C over termios (needs gcc)', hasGcc, cHost, []],
    ['Python over python3-serial (needs it)', hasPySerial, '/usr/bin/python3', [join(hosts, 'read_port.py')]],
  ];
  for (const [name, present, command, args] of programs) {
    it.skipIf(!present)(`${name}: gets what is sent from its coming on, is heard, and its speed is told`, async () => {
      const { port, seen, count } = await openWatched();
      expect(port.write(Buffer.from('$OLD\r\n'))).toBe(6);
      const host = await startHost(command, [...args, port.name, '57600', '0.6', 'hello']);
      await until(() => seen.events.some((event) => event.event === 'speed'), 'the speed');
      expect(port.write(Buffer.from('$NEW,\x00\x11\x13\x7f\xe9\r\n', 'latin1'))).toBe(0);
      expect(await host.ended).toBe(0);
      expect(host.text()).toBe('$NEW,\x00\x11\x13\x7f\xe9\r\n');
      await until(() => count('close') === 1, 'its going');
      expect(seen.bytes).toBe('hello\r\n');
      expect(seen.events).toEqual([{ event: 'open' }, { event: 'speed', baud: 57600 }, { event: 'close' }]);
      await port.close();
    });
  }
});

describe('a pty whose host opens it directly', () => {
  const openHost = (path: string) => openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);

  it('takes 1 MB at once for a host that never reads, and counts it lost', async () => {
    const { port, count } = await openWatched();
    const fd = openHost(port.name);
    await until(() => count('open') === 1, 'the host');
    const start = performance.now();
    const lost = port.write(Buffer.alloc(1_000_000, 65));
    expect(performance.now() - start).toBeLessThan(AT_ONCE_MS);
    expect(lost).toBeGreaterThan(1_000_000 - KERNEL_HOLDS_BYTES);
    closeSync(fd);
    await port.close();
  });

  it('what was just written counts as unread at once, so that a close waits for it', async () => {
    const calls = await loadLinuxCalls();
    const { port, count } = await openWatched();
    const fd = openHost(port.name);
    await until(() => count('open') === 1, 'the host');
    for (let i = 0; i < 2000; i++) {
      port.write(Buffer.from('$GPTXT\r\n'));
      expect(calls.unreadBytes(fd)).toBe(8);
      calls.flushInput(fd);
    }
    expect(calls.unreadBytes(fd)).toBe(0);
    closeSync(fd);
    await port.close();
  });

  it('200 hosts come and go: never an old byte, no descriptor left', async () => {
    const calls = await loadLinuxCalls();
    const { port, count } = await openWatched();
    const before = openFds();
    const into = Buffer.alloc(4096);
    for (let i = 0; i < 200; i++) {
      port.write(Buffer.from('no host\r\n'));
      const fd = openHost(port.name);
      await until(() => count('open') === i + 1, 'the host');
      expect(calls.read(fd, into)).toBe(0);
      const line = `$NEW,${i}\r\n`;
      expect(port.write(Buffer.from(line))).toBe(0);
      let got = '';
      await until(() => {
        got += into.toString('latin1', 0, calls.read(fd, into));
        return got.length >= line.length;
      }, 'the line');
      expect(got).toBe(line);
      // Left unread by this host, and not for the next one.
      port.write(Buffer.from('left over\r\n'));
      closeSync(fd);
      // Half of the goings are seen by the write at the top of the loop, half by the event loop.
      if (i % 2 === 0) await until(() => count('close') === i + 1, 'its going');
      else expect(port.write(Buffer.from('x'))).toBe(1);
    }
    expect(openFds()).toBe(before);
    await port.close();
  });

  it('sees that of two hosts one is left, however alike their openings', async () => {
    const { port, count } = await openWatched();
    // Both opened before the port looks: the kernel tells of one opening only.
    const first = openHost(port.name);
    const second = openHost(port.name);
    await until(() => count('open') === 1, 'the hosts');
    closeSync(first);
    await sleep(120);
    expect(count('close')).toBe(0);
    expect(port.write(Buffer.from('x'))).toBe(0);
    closeSync(second);
    await until(() => count('close') === 1, 'the last going');
    expect(port.write(Buffer.from('x'))).toBe(1);
    await port.close();
  });

  it('lifts an exclusive lock that a host has left, and leaves it while that host is there', async () => {
    const calls = await loadLinuxCalls();
    const { port, count } = await openWatched();
    const fd = openHost(port.name);
    const other = openHost(port.name);
    calls.setExclusive(fd, true);
    closeSync(other);
    await sleep(120);
    expect(calls.isExclusive(fd)).toBe(true);
    closeSync(fd);
    await until(() => count('close') === 1, 'its going');
    const next = openHost(port.name);
    expect(calls.isExclusive(next)).toBe(false);
    closeSync(next);
    await port.close();
  });

  it('leaves no descriptor after 50 ports', async () => {
    await (await openWatched()).port.close();
    await sleep(20);
    const before = openFds();
    for (let i = 0; i < 50; i++) await (await openWatched()).port.close();
    await sleep(20);
    expect(openFds()).toBe(before);
  });
});

it('a second serialport host with its default lock opens the pty after the first has closed it', async () => {
  const { SerialPort } = await import('serialport');
  const { port, count } = await openWatched();
  for (let i = 1; i <= 5; i++) {
    const host = new SerialPort({ path: port.name, baudRate: 9600, autoOpen: false });
    await new Promise<void>((resolve, reject) => host.open((error) => (error ? reject(error) : resolve())));
    await until(() => count('open') === i, 'the host');
    await new Promise((resolve) => host.close(resolve));
    await until(() => count('close') === i, 'its going');
  }
  await port.close();
});

it('makes the link to the pty and removes it at close', async () => {
  const linkPath = join(folder, 'gnss');
  const { port } = await openWatched({ linkPath });
  expect(readlinkSync(linkPath)).toBe(port.name);
  await port.close();
  expect(lstatSync(linkPath, { throwIfNoEntry: false })).toBeUndefined();
});

it('removes the link when the program ends by an uncaught error', () => {
  const names =
    'backlog linux-calls open-watcher port-link pty-line pty-pair pty-port slave-watch wait-until-sent'.split(' ');
  compileInto(folder, ['base/error', ...names.map((name) => `emit/ports/${name}`)]);
  symlinkSync(new URL('../../../node_modules', import.meta.url).pathname, join(folder, 'node_modules'));
  const linkPath = join(folder, 'crash');
  writeFileSync(
    join(folder, 'program.js'),
    `import { readlinkSync } from 'node:fs';
     import { openPtyPort } from './emit/ports/pty-port.js';
     const port = await openPtyPort({ baud: 9600, linkPath: process.argv[2] }, {});
     console.log(readlinkSync(process.argv[2]) === port.name);
     throw new Error('crash');`,
  );
  const child = spawnSync(process.execPath, [join(folder, 'program.js'), linkPath], { encoding: 'utf8' });
  expect(child.stdout).toBe('true\n');
  expect(child.status).toBe(1);
  expect(lstatSync(linkPath, { throwIfNoEntry: false })).toBeUndefined();
});
