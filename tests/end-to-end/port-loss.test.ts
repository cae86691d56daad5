import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { readlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type LodestubModule, openModule } from '../../src/index.js';
import { temporaryFolder, until } from '../cli/process.js';
import { roof } from '../run/helper.js';

const folder = temporaryFolder();
const hosts = new URL('../hosts/', import.meta.url).pathname;
const hasPySerial = spawnSync('/usr/bin/python3', ['-c', 'import serial']).status === 0;

const HOSTS: [name: string, present: boolean, command: string, program: string][] = [
  ['node over serialport', true, process.execPath, 'reattach.js'],
  ['Python over python3-serial (needs it)', hasPySerial, '/usr/bin/python3', 'reattach.py'],
];

const children: ChildProcess[] = [];
afterAll(() => {
  for (const child of children) child.kill('SIGKILL');
});

/** What a host that reattaches has said. */
interface Attached {
  /**
   * Its lines, in order: `open PATH`, `lost REASON`, `refused REASON`, and `read` with all that it read till the next.
   */
  readonly told: () => string[];
  tell(path: string): void;
  stop(): Promise<void>;
}

function attach(command: string, program: string, ...paths: string[]): Attached {
  const child = spawn(command, [join(hosts, program), '9600', ...paths], { stdio: ['pipe', 'pipe', 'inherit'] });
  children.push(child);
  let out = '';
  child.stdout.on('data', (text) => {
    out += text;
  });
  return {
    told() {
      const told: string[] = [];
      for (const line of out.split('\n').slice(0, -1)) {
        const [word, rest] = [line.slice(0, line.indexOf(' ')), line.slice(line.indexOf(' ') + 1)];
        if (word !== 'read') told.push(line);
        else if (told.at(-1)?.startsWith('read ')) told[told.length - 1] += Buffer.from(rest, 'hex').toString('latin1');
        else told.push(`read ${Buffer.from(rest, 'hex').toString('latin1')}`);
      }
      return told;
    },
    tell: (path) => void child.stdin.write(`${path}\n`),
    stop: () =>
      new Promise((resolve) => {
        child.once('exit', () => resolve());
        child.stdin.end();
      }),
  };
}

/** XOR of the characters between $ and *, as the standard's checksum. */
function isSound(line: string): boolean {
  const [, body, sum] = /^\$([^*]*)\*([0-9A-F]{2})$/.exec(line) ?? [];
  if (body === undefined) return false;
  let xor = 0;
  for (const char of body) xor ^= char.charCodeAt(0);
  return xor === Number.parseInt(sum as string, 16);
}

/** That what a host read is whole sentences, but for a torn one at the start or the end. */
function expectClean(read: string): void {
  const lines = read.slice('read '.length).split('\r\n').slice(1, -1);
  expect(lines.length).toBeGreaterThan(3);
  for (const line of lines) expect(isSound(line), line).toBe(true);
}

/** Time for a host to start and to read some sentences before the port goes, also on a loaded machine. */
const GOES_AT = '15 s';
/** Times real time. */
const PACE = 6;

async function play(fault: object, link?: string): Promise<{ module: LodestubModule; back: string[] }> {
  const back: string[] = [];
  const module = await openModule({
    scenario: roof({ timeline: [{ at: GOES_AT, for: '6 s', fault: 'port-loss', with: fault }] }),
    port: 'pty',
    clock: PACE,
    ...(link === undefined ? {} : { link }),
    onJournal: (line) => {
      const record = JSON.parse(line);
      if (record.type === 'port' && record.event === 'back') back.push(record.name);
    },
  });
  return { module, back };
}

const words = (host: Attached) => host.told().map((line) => line.split(' ')[0]);
const isReadingAgain = (host: Attached) => {
  const told = host.told();
  return words(host).includes('lost') && (told.at(-1)?.startsWith('read ') ?? false) && told.at(-1)!.length > 700;
};

/** What a host in Python does beside the first is the port's doing alone, which one in Node shows. */
const isFirst = (program: string) => program === HOSTS[0]?.[3];

describe.each(HOSTS)('a host in another process, %s,', (_name, present, command, program) => {
  it.skipIf(!present)(
    'reads until the hang-up, finds the port again by its link, and reads clean sentences',
    async () => {
      const link = join(folder, `link-${program}`);
      const { module } = await play({}, link);
      const host = attach(command, program, link);
      await until(
        () => isReadingAgain(host),
        () => `the host: ${host.told().join('\n')}`,
      );
      expect(words(host)).toEqual(['open', 'read', 'lost', 'open', 'read']);
      expectClean(host.told()[1]!);
      expectClean(host.told()[4]!);
      await host.stop();
      await module.close();
    },
  );

  it.runIf(isFirst(program))('finds it by the link’s next name, where the link moves', async () => {
    const link = join(folder, `moving-${program}`);
    const { module } = await play({ back: 'other' }, link);
    const host = attach(command, program, link, `${link}-2`);
    await until(
      () => isReadingAgain(host),
      () => `the host: ${host.told().join('\n')}`,
    );
    const told = host.told();
    expect([told[0], told[3]]).toEqual([`open ${link}`, `open ${link}-2`]);
    expectClean(told[4]!);
    expect(readlinkSync(`${link}-2`)).toBe(module.port);
    await host.stop();
    await module.close();
  });

  it.skipIf(!present)('finds it by the new name that the journal tells', async () => {
    const { module, back } = await play({ back: 'other' });
    const first = module.port;
    const host = attach(command, program, first);
    await until(() => back.length === 1, 'the return');
    expect(back[0]).not.toBe(first);
    expect(module.port).toBe(back[0]);
    host.tell(module.port);
    await until(
      () => isReadingAgain(host),
      () => `the host: ${host.told().join('\n')}`,
    );
    expect(host.told().at(-2)).toBe(`open ${back[0]}`);
    expectClean(host.told().at(-1)!);
    await host.stop();
    await module.close();
  });

  it.runIf(isFirst(program))('is told nothing where the port goes without a hang-up', async () => {
    const link = join(folder, `silent-${program}`);
    const { module, back } = await play({ 'hang-up': false }, link);
    const host = attach(command, program, link);
    await until(() => back.length === 1, 'the return');
    const waitedMs = Date.now() + 1500;
    await until(() => Date.now() > waitedMs, 'what does not come');
    expect(words(host)).toEqual(['open', 'read']);
    expectClean(host.told()[1]!);
    await host.stop();
    await module.close();
  });
});
