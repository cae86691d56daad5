import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  closeSync,
  constants,
  existsSync,
  openSync,
  readdirSync,
  readlinkSync,
  readSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { LINE_SETTINGS_BYTES, loadLinuxCalls, speedOf } from '../../../src/emit/ports/linux-calls.js';
import type { HostEvent, PortEvent } from '../../../src/emit/ports/port.js';
import { openPtyPort } from '../../../src/emit/ports/pty-port.js';
import { temporaryFolder } from '../../cli/process.js';
import { openHost } from '../../contract/hosts.js';
import { sleep, until } from '../../contract/rigs.js';

const folder = temporaryFolder();
/** The interval at which a port looks at a line that nothing is written to is 50 ms: twice that, ms. */
const LOOKED_MS = 100;
/** The user that owns nothing, as Linux has it. */
const NOBODY = 65_534;

async function openWatched(linkPath?: string, baud = 9600) {
  const events: (HostEvent | PortEvent)[] = [];
  const errors: Error[] = [];
  const port = await openPtyPort(
    { baud, ...(linkPath === undefined ? {} : { linkPath }) },
    {
      hostEvent: (event) => events.push(event),
      portEvent: (event) => events.push(event),
      failed: (error) => errors.push(error),
    },
  );
  const count = (name: string) => events.filter(({ event }) => event === name).length;
  return { port, events, errors, count };
}

describe('the name of a pty that comes back', () => {
  it('is /dev/pts/N, which is not there while it is away', async () => {
    const { port } = await openWatched();
    const { name } = port;
    expect(name).toMatch(/^\/dev\/pts\/\d+$/);
    port.vanish!(true);
    expect(existsSync(name)).toBe(false);
    port.comeBack!('same');
    expect(existsSync(port.name)).toBe(true);
    await port.close();
    expect(existsSync(port.name)).toBe(false);
  });

  it('is told truly where a host that has not let go keeps the number taken', async () => {
    const { port, events } = await openWatched();
    const { name } = port;
    const host = openHost('pty', name);
    port.vanish!(true);
    port.comeBack!('same');
    expect(port.name).not.toBe(name);
    expect(events.at(-1)).toEqual({ event: 'back', name: port.name });
    await host.leave();
    await port.close();
  });

  it('through its link is stable: the link goes with the port and comes back', async () => {
    const linkPath = join(folder, 'stable');
    const { port, events } = await openWatched(linkPath);
    const host = openHost('pty', linkPath);
    port.vanish!(true);
    expect(() => readlinkSync(linkPath)).toThrow('ENOENT');
    port.comeBack!('same');
    expect(readlinkSync(linkPath)).toBe(port.name);
    expect(events.at(-1)).toEqual({ event: 'back', name: port.name, link: linkPath });
    await host.leave();
    await port.close();
    expect(() => readlinkSync(linkPath)).toThrow('ENOENT');
  });

  it('through its link is another one where it is to be: PATH-2, then the next that is free', async () => {
    const linkPath = join(folder, 'moving');
    writeFileSync(`${linkPath}-3`, 'of somebody else');
    const { port, events } = await openWatched(linkPath);
    for (const expected of [`${linkPath}-2`, `${linkPath}-4`]) {
      port.vanish!(false);
      port.comeBack!('other');
      expect(events.at(-1)).toEqual({ event: 'back', name: port.name, link: expected });
      expect(readlinkSync(expected)).toBe(port.name);
    }
    port.vanish!(true);
    port.comeBack!('same');
    expect(readlinkSync(`${linkPath}-4`)).toBe(port.name);
    await port.close();
    expect(readdirSync(folder).filter((file) => file.startsWith('moving'))).toEqual(['moving-3']);
  });

  it('cannot be had where something else has taken the link meanwhile: the port fails, and leaves that alone', async () => {
    const linkPath = join(folder, 'taken');
    const { port, errors } = await openWatched(linkPath);
    port.vanish!(true);
    symlinkSync(folder, linkPath);
    port.comeBack!('same');
    expect(errors.map((error) => error.message)).toEqual([expect.stringMatching(/^link\.taken: /)]);
    expect(readlinkSync(linkPath)).toBe(folder);
    expect(port.write(Buffer.from('x'))).toBe(1);
    await port.close();
  });
});

/** How many descriptors this process has on a path: the port's own and the hosts' here. */
function handlesOn(path: string): number {
  const links = readdirSync('/proc/self/fd').map((fd) => {
    try {
      return readlinkSync(`/proc/self/fd/${fd}`);
    } catch {
      return ''; // The descriptor of the listing itself, closed by now.
    }
  });
  return links.filter((link) => link.split(' ')[0] === path).length;
}

describe('a pty that has gone without a hang-up', () => {
  it('is there no longer than its host, and its number is free again', async () => {
    const { port } = await openWatched();
    const old = port.name;
    const host = openHost('pty', old);
    port.vanish!(false);
    port.comeBack!('same');
    expect(handlesOn(old)).toBe(2);
    await host.leave();
    await until(() => handlesOn(old) === 0, 'the old one to end');
    await port.close();
  });

  it('without a host is gone at once', async () => {
    const { port } = await openWatched();
    const { name } = port;
    port.vanish!(false);
    expect(existsSync(name)).toBe(false);
    await port.close();
  });

  it('is ended when too many hosts wait: sixteen do', async () => {
    const { port } = await openWatched();
    const hosts = [];
    for (let i = 0; i < 18; i++) {
      hosts.push(openHost('pty', port.name));
      port.vanish!(false);
      port.comeBack!('other');
    }
    expect(hosts.map((host) => host.isHungUp())).toEqual([true, true, ...Array(16).fill(false)]);
    await port.close();
    expect(hosts.every((host) => host.isHungUp())).toBe(true);
    for (const host of hosts) await host.leave();
  });
});

describe('the speed of a pty', () => {
  async function speeds(name: string) {
    const calls = await loadLinuxCalls();
    const fd = openSync(name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    const settings = Buffer.alloc(LINE_SETTINGS_BYTES);
    calls.lineSettings(fd, settings);
    return { calls, fd, speed: () => (calls.lineSettings(fd, settings) ? speedOf(settings) : 0) };
  }

  it('follows the module’s, also while a host is there that has set nothing, until one sets up the line', async () => {
    const { port, count, events } = await openWatched();
    const { calls, fd, speed } = await speeds(port.name);
    await until(() => count('open') === 1, 'the host');
    expect(speed()).toBe(9600);
    port.setSpeed!(4800);
    expect(speed()).toBe(4800);
    calls.setRaw(fd, 19_200);
    port.setSpeed!(38_400);
    expect(speed()).toBe(19_200);
    closeSync(fd);
    await until(() => count('close') === 1, 'its going');
    port.setSpeed!(57_600);
    const next = await speeds(port.name);
    expect(next.speed()).toBe(19_200);
    closeSync(next.fd);
    await port.close();
    expect(events.filter(({ event }) => event === 'speed')).toEqual([{ event: 'speed', baud: 19_200 }]);
  });

  it('is the host’s, and is told, also where it sets up the line at the speed that it has', async () => {
    const { port, count, events } = await openWatched();
    const { SerialPort } = await import('serialport');
    const host = new SerialPort({ path: port.name, baudRate: 9600, autoOpen: false });
    await new Promise<void>((resolve, reject) => host.open((error) => (error ? reject(error) : resolve())));
    await until(() => count('speed') === 1, 'its speed');
    port.setSpeed!(4800);
    const { fd, speed } = await speeds(port.name);
    expect(speed()).toBe(9600);
    closeSync(fd);
    await new Promise((resolve) => host.close(resolve));
    await port.close();
    expect(events.slice(0, 2)).toEqual([{ event: 'open' }, { event: 'speed', baud: 9600 }]);
  });

  it('is the module’s as it is by then when the port comes back', async () => {
    const { port, count } = await openWatched();
    const host = await speeds(port.name);
    host.calls.setRaw(host.fd, 115_200);
    await until(() => count('speed') === 1, 'its speed');
    port.vanish!(true);
    closeSync(host.fd);
    port.setSpeed!(4800);
    port.comeBack!('same');
    const next = await speeds(port.name);
    expect(next.speed()).toBe(4800);
    port.setSpeed!(9600);
    expect(next.speed()).toBe(9600);
    await sleep(LOOKED_MS);
    expect(count('speed')).toBe(1);
    closeSync(next.fd);
    await port.close();
  });
});

describe('a pty that keeps bytes', () => {
  it('hands on more of them than the kernel takes at once, as the host reads, and new ones after them', async () => {
    const { port, count } = await openWatched();
    const kept = Buffer.alloc(300_000);
    for (let i = 0; i < kept.length; i++) kept[i] = 65 + (i % 26);
    port.keep!(kept.length);
    for (let from = 0; from < kept.length; from += 1000) expect(port.write(kept.subarray(from, from + 1000))).toBe(0);
    const host = openHost('pty', port.name);
    await until(() => count('open') === 1, 'the host');
    await until(() => host.received().length > 100_000, 'a third of it');
    expect(port.write(Buffer.from('new'))).toBe(0);
    await until(() => host.received().length === kept.length + 3, 'all of it');
    expect(host.received() === `${kept.toString('latin1')}new`).toBe(true);
    await host.leave();
    await port.close();
  });
});

describe('a pty that refuses hosts', () => {
  it('goes on refusing after openings that were refused, and sees its host leave all the same', async () => {
    const { port, count } = await openWatched();
    const host = openHost('pty', port.name);
    await until(() => count('open') === 1, 'the host');
    port.refuse!(true);
    for (let i = 0; i < 20; i++) {
      expect(openHost('pty', port.name).refusal()).toMatch(/^(EIO|EBUSY)$/);
      await sleep(i);
    }
    await host.leave();
    // As who closes and opens again at once.
    expect(openHost('pty', port.name).refusal()).toMatch(/^(EIO|EBUSY)$/);
    await until(() => count('close') === 1, 'its going');
    for (let i = 0; i < 20; i++) expect(openHost('pty', port.name).refusal()).toMatch(/^(EIO|EBUSY)$/);
    expect([count('open'), count('close')]).toEqual([1, 1]);
    port.refuse!(false);
    const next = openHost('pty', port.name);
    expect(next.refusal()).toBe(null);
    await until(() => count('open') === 2, 'the next');
    await next.leave();
    await until(() => count('close') === 2, 'its going');
    await port.close();
  });

  it('tells an ordinary user that it is in use, and its host reads on meanwhile', async () => {
    const { port, count } = await openWatched();
    const fd = openSync(port.name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    await until(() => count('open') === 1, 'the host');
    port.refuse!(true);
    chmodSync(port.name, 0o666);
    const ordinary = process.getuid!() === 0 ? { uid: NOBODY, gid: NOBODY } : {};
    for (let i = 0; i < 3; i++) {
      expect(port.write(Buffer.from('line'))).toBe(0);
      const { stderr } = spawnSync('sh', ['-c', ': <> "$0"', port.name], {
        ...ordinary,
        encoding: 'utf8',
        env: { LC_ALL: 'C' },
      });
      expect(stderr).toMatch(/Device or resource busy/);
      expect(readSync(fd, Buffer.alloc(10))).toBe(4);
    }
    closeSync(fd);
    await port.close();
  });

  it('leaves a host’s own exclusive flag as it was', async () => {
    const calls = await loadLinuxCalls();
    const { port, count } = await openWatched();
    const fd = openSync(port.name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    await until(() => count('open') === 1, 'the host');
    for (const isExclusive of [false, true]) {
      calls.setExclusive(fd, isExclusive);
      port.refuse!(true);
      expect(calls.isExclusive(fd)).toBe(true);
      await sleep(LOOKED_MS);
      port.refuse!(false);
      expect(calls.isExclusive(fd)).toBe(isExclusive);
    }
    closeSync(fd);
    await port.close();
  });
});
