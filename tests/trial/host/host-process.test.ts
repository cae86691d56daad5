import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type HostLife, HostProcess } from '../../../src/trial/host/host-process.js';
import { HOST_SCHEMA, type HostCommand } from '../../../src/trial/host/host-schema.js';

/** Far longer than anything here takes, and shorter than a host that hangs would. */
const SOON_MS = 5000;

let folder: string;
let lives: HostLife[];
let lines: string[];
let texts: string;
let floods: string[];
let failures: string[];
let host: HostProcess;

function hostOf(settings: Record<string, unknown> | string, values = {}): HostProcess {
  const raw = typeof settings === 'string' ? parse(settings) : settings;
  const listener = {
    life: (event: HostLife) => void lives.push(event),
    line: (from: string, line: string) => void lines.push(`${from}: ${line}`),
    outputsEnded: () => void lines.push('over'),
    text: (from: string, text: string) => {
      if (from === 'stdout') texts += text.length > 1e5 ? '' : text;
    },
    flooded: (from: string) => void floods.push(from),
    failed: (error: Error) => void failures.push(error.message),
  };
  host = new HostProcess(HOST_SCHEMA.parse(raw) as HostCommand, listener, { baseFolder: folder, values });
  return host;
}

async function until(isSo: () => boolean): Promise<void> {
  const end = performance.now() + SOON_MS;
  while (!isSo()) {
    if (performance.now() > end) throw new Error('it has not come about');
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

/** True while a process runs; one that has ended and was not collected does not. */
function runs(id: number): boolean {
  try {
    const stat = readFileSync(`/proc/${id}/stat`, 'latin1');
    return !/^ Z/.test(stat.slice(stat.lastIndexOf(')') + 1));
  } catch {
    return false;
  }
}

const node = (script: string) => [process.execPath, '-e', script];
const codeOf = (error: unknown) => (error as { code: string }).code;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'host-'));
  lives = [];
  lines = [];
  texts = '';
  floods = [];
  failures = [];
});

afterEach(async () => {
  await host?.stop();
  rmSync(folder, { recursive: true });
});

describe('a host', () => {
  it('is started with its placeholders filled in, in its folder and environment', async () => {
    hostOf(
      {
        command: [
          '/bin/sh',
          '-c',
          'echo "$1 $A $(printenv HOME || echo none)"; pwd; echo late >&2; exit 3',
          'sh',
          '{port}@{baud}',
        ],
        environment: { A: '{link}', HOME: null },
      },
      { port: '/dev/a b', baud: '9600', link: '/tmp/l' },
    );
    await host.start();
    await until(() => lives.length === 2 && lines.includes('over'));
    expect(lines.at(-1)).toBe('over');
    expect(lines.filter((line) => line.startsWith('stdout'))).toEqual([
      'stdout: /dev/a b@9600 /tmp/l none',
      `stdout: ${folder}`,
    ]);
    expect(lines).toContain('stderr: late');
    expect(texts).toBe(`/dev/a b@9600 /tmp/l none\n${folder}\n`);
    expect(lives).toEqual([
      { event: 'started', code: null, signal: null, isByUs: false },
      { event: 'ended', code: 3, signal: null, isByUs: false },
    ]);
    expect(host.isRunning).toBe(false);
  });

  it('is ready with the line that says so', async () => {
    hostOf({ command: ['/bin/sh', '-c', 'echo first; echo listening on 5; exec sleep 30'], ready: '^listening' });
    await host.start();
    await host.ready();
    expect(lines).toContain('stdout: listening on 5');
    expect(await host.stop()).toBe(false);
    expect(lives[1]).toEqual({ event: 'ended', code: null, signal: 'SIGTERM', isByUs: true });
  });

  it('that ends before it is ready, and one that takes too long, are told apart', async () => {
    hostOf({ command: ['/bin/sh', '-c', 'echo no such port >&2; exit 2'], ready: '^listening' });
    await host.start();
    await expect(host.ready()).rejects.toThrow(
      'trial.host-ended: host.command: the host ended with exit code 2 before it was ready; got as its last line "no such port".',
    );
    hostOf({ command: ['sleep', '30'], ready: '^listening', 'ready-within': '100 ms' });
    await host.start();
    await expect(host.ready()).rejects.toThrow(
      'trial.host-not-ready: host.ready: expected a line that matches ^listening within 0.1 s, got no line at all.',
    );
  });

  it('that does not heed the signal is ended by force, and that is told', async () => {
    hostOf({
      command: node("process.on('SIGTERM', () => {}); setInterval(() => {}, 1000); console.log('up')"),
      ready: 'up',
      'stop-within': '200 ms',
    });
    await host.start();
    await host.ready();
    expect(await host.stop()).toBe(true);
    expect(lives[1]).toMatchObject({ signal: 'SIGKILL', isByUs: true });
  });

  it('may write its last words when it is asked to end', async () => {
    hostOf({
      command: node(
        "process.on('SIGINT', () => { console.log('x'.repeat(200000)); console.log('bye'); process.exitCode = 0; clearInterval(t) }); const t = setInterval(() => {}, 1000); console.log('up')",
      ),
      ready: 'up',
      stop: 'SIGINT',
    });
    await host.start();
    await host.ready();
    expect(await host.stop()).toBe(false);
    expect(lines.slice(-2)).toEqual(['stdout: bye', 'over']);
    expect(lives[1]).toMatchObject({ code: 0, signal: null, isByUs: true });
  });

  it('takes its children with it, also those that do not heed the signal and hold its outputs', async () => {
    const child = "trap '' TERM; echo child $$; while :; do sleep 1; done";
    hostOf({
      command: ['/bin/sh', '-c', `sh -c "${child.replace('$$', '\\$\\$')}" & echo up; wait`],
      'stop-within': '200 ms',
    });
    await host.start();
    await until(() => lines.some((line) => line.includes('child')));
    const id = Number(/child (\d+)/.exec(lines.join('\n'))?.[1]);
    expect(runs(id)).toBe(true);
    expect(await host.stop()).toBe(true);
    expect(runs(id)).toBe(false);
  });

  it('that leaves a child behind when it ends has that ended too', async () => {
    hostOf({ command: ['/bin/sh', '-c', 'sleep 60 & echo child $!; exit 0'] });
    await host.start();
    await until(() => lines.length > 0 && lives.length === 2);
    const id = Number(/child (\d+)/.exec(lines.join('\n'))?.[1]);
    await until(() => !runs(id));
    await host.stop();
  });

  it('is over although a process that left its group holds its outputs', async () => {
    hostOf({ command: ['setsid', '-f', 'sh', '-c', `echo $$ > ${folder}/id; exec sleep 60`] });
    await host.start();
    await until(
      () => lives.length === 2 && existsSync(join(folder, 'id')) && readFileSync(join(folder, 'id'), 'utf8') !== '',
    );
    const from = performance.now();
    await host.stop();
    expect(performance.now() - from).toBeLessThan(SOON_MS);
    process.kill(Number(readFileSync(join(folder, 'id'), 'utf8')), 'SIGKILL');
  });

  it('is started again when it ends by itself, and no more once it is stopped', async () => {
    hostOf({ command: ['/bin/sh', '-c', 'echo hello; exit 1'], restart: true, 'restart-after': '100 ms' });
    await host.start();
    await until(() => host.starts === 3);
    await host.stop();
    const { starts } = host;
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(host.starts).toBe(starts);
    expect(lives.filter(({ event }) => event === 'started')).toHaveLength(starts);
    expect(lives.filter(({ event }) => event === 'ended')).toHaveLength(starts);
  });

  it('that can be started no more is told', async () => {
    writeFileSync(join(folder, 'once'), '#!/bin/sh\nrm once\n');
    chmodSync(join(folder, 'once'), 0o755);
    hostOf({ command: ['./once'], restart: true, 'restart-after': '100 ms' });
    await host.start();
    await until(() => failures.length === 1);
    expect(failures[0]).toContain('trial.host-missing: host.command: no program');
  });

  it('is stopped before it was started, or twice, without harm', async () => {
    hostOf({ command: ['sleep', '30'] });
    expect(await host.stop()).toBe(false);
    await host.start();
    expect(host.starts).toBe(0);
    await host.stop();
  });
});

describe('a host that cannot be started', () => {
  it.each([
    [{ command: ['pythn3', 'a.py'] }, 'trial.host-missing', 'Did you mean python3?'],
    [{ command: ['reader'] }, 'trial.host-missing', 'It is in the folder: write ./reader.'],
    [{ command: ['./raeder'] }, 'trial.host-missing', 'Did you mean ./reader?'],
    [{ command: ['./script'] }, 'trial.host-missing', 'what its first line names: /no/such/thing'],
    [{ command: ['./reader'] }, 'trial.host-denied', 'such as [python3, ./reader]'],
    [{ command: ['.'] }, 'trial.host-denied', 'may not be run'],
    [{ command: ['sleep', '1'], folder: 'nowhere' }, 'trial.host-folder', 'nowhere does not exist'],
    [{ command: ['sleep', '1'], folder: 'reader' }, 'trial.host-folder', 'reader is no folder'],
    [{ command: ['sleep', '{tcp}'] }, 'trial.placeholder', '{tcp} has no value in this case'],
    [{ command: ['sleep', 'x'.repeat(200_000)] }, 'trial.host-failed', 'E2BIG'],
  ])('%j says why', async (settings, code, message) => {
    writeFileSync(join(folder, 'reader'), 'print(1)\n');
    writeFileSync(join(folder, 'script'), '#!/no/such/thing\n');
    chmodSync(join(folder, 'script'), 0o755);
    const error = await hostOf(settings)
      .start()
      .catch((each: Error) => each);
    expect(codeOf(error)).toBe(code);
    expect((error as Error).message).toContain(message);
    expect(lives).toEqual([]);
    expect(await host.stop()).toBe(false);
  });
});

describe('a host that floods its output', () => {
  /** What reading 5 MB/s may hold at most, beside what the tests have already, bytes. */
  const MOST_HELD = 100e6;
  /** A look at the clock is never later than this, ms: nothing else is done here. */
  const LATEST_MS = 1000;

  it('is slowed down and told of, and leaves time and memory for all else', async () => {
    hostOf({ command: ['/bin/sh', '-c', 'exec yes 0123456789012345678901234567890123456789012345678901234567890'] });
    let latestMs = 0;
    let last = performance.now();
    const clock = setInterval(() => {
      latestMs = Math.max(latestMs, performance.now() - last);
      last = performance.now();
    }, 10);
    const before = process.memoryUsage().rss;
    await host.start();
    texts = '';
    await until(() => {
      texts = '';
      lines.length = 0;
      return floods.length > 0;
    });
    expect(floods).toEqual(['stdout']);
    expect(latestMs).toBeLessThan(LATEST_MS);
    expect(process.memoryUsage().rss - before).toBeLessThan(MOST_HELD);
    await host.stop();
    clearInterval(clock);
    expect(lives[1]).toMatchObject({ signal: 'SIGTERM', isByUs: true });
  });
});
