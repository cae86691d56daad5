import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, vi } from 'vitest';

const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const HOST = new URL('../hosts/read-port.js', import.meta.url).pathname;

// These tests wait for other processes most of the time.
vi.setConfig({ maxConcurrency: 16 });

/** How a process ended, and what it said. */
export interface Ended {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** How a process is started. */
export interface Surroundings {
  readonly cwd?: string;
  readonly env?: NodeJS.ProcessEnv;
  /** Standard output of the process, where a test wants it elsewhere: a descriptor. */
  readonly stdoutFd?: number;
}

export const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Waits until something holds; fails after 15 s, far above any delay of a loaded machine that would still be right. */
export async function until(holds: () => boolean, what: string | (() => string)): Promise<void> {
  const endMs = Date.now() + 15_000;
  while (!holds()) {
    if (Date.now() > endMs) throw new Error(`waited 15 s in vain for ${typeof what === 'string' ? what : what()}`);
    await sleep(5);
  }
}

/** The environment without what asks for colours: what is printed does not depend on who runs the tests. */
const { FORCE_COLOR: _force, NO_COLOR: _no, ...PLAIN_ENV } = process.env;

/** A child process with what it has said so far. Bytes stand as one character each. */
export class Running {
  stdout = '';
  stderr = '';
  readonly child: ChildProcess;
  readonly ended: Promise<Ended>;

  constructor(command: string, args: readonly string[], { cwd, env, stdoutFd }: Surroundings = {}) {
    this.child = spawn(command, args, {
      cwd,
      env: { ...PLAIN_ENV, ...env },
      stdio: ['ignore', stdoutFd ?? 'pipe', 'pipe'],
    });
    this.child.stdout?.setEncoding('latin1').on('data', (text: string) => {
      this.stdout += text;
    });
    this.child.stderr?.setEncoding('utf8').on('data', (text: string) => {
      this.stderr += text;
    });
    this.ended = new Promise((resolve) => {
      this.child.on('close', (code, signal) => {
        alive.delete(this);
        resolve({ code, signal, stdout: this.stdout, stderr: this.stderr });
      });
    });
    alive.add(this);
  }

  signal(name: NodeJS.Signals): void {
    this.child.kill(name);
  }
}

/** What has been started and not ended yet: ended, by its id, when the test file is over. */
const alive = new Set<Running>();
afterAll(async () => {
  for (const running of alive) running.signal('SIGKILL');
  await Promise.all([...alive].map(({ ended }) => ended));
});

/** A `lodestub` that is under way. */
export class Lodestub extends Running {
  constructor(args: readonly string[], surroundings: Surroundings = {}) {
    super(process.execPath, [BIN, ...args], surroundings);
  }

  /** Waits for the first two lines of `run`. @returns the port, and when tick 0 fell, ms since 1970 */
  async begun(from: 'stdout' | 'stderr' = 'stdout'): Promise<{ port: string; startedMs: number }> {
    const ended = { isSo: false };
    void this.ended.then(() => {
      ended.isSo = true;
    });
    const read = () => /^port: (.+)\nstarted: (.+)\n/m.exec(this[from]);
    await until(
      () => read() !== null || ended.isSo,
      () => `the first lines: ${this.stdout}${this.stderr}`,
    );
    const [, port, started] = read() ?? [];
    if (port === undefined || started === undefined) throw new Error(`no start: ${this.stdout}${this.stderr}`);
    return { port, startedMs: Date.parse(started) };
  }
}

/**
 * Runs the command line in this process, in a folder: far quicker than a process of its own, for what ends at once.
 * One at a time.
 */
export async function lodestubHere(args: readonly string[], cwd: string): Promise<Ended> {
  const { main } = await import('../../src/cli/main.js');
  const [said, before] = [{ stdout: '', stderr: '' }, process.cwd()];
  const spies = (['stdout', 'stderr'] as const).map((name) =>
    vi.spyOn(process[name], 'write').mockImplementation((chunk) => {
      said[name] += typeof chunk === 'string' ? chunk : Buffer.from(chunk).toString('latin1');
      return true;
    }),
  );
  process.chdir(cwd);
  try {
    return { code: await main(['node', 'lodestub', ...args]), signal: null, ...said };
  } finally {
    process.chdir(before);
    for (const spy of spies) spy.mockRestore();
  }
}

/** Runs `lodestub` to its end. */
export function lodestub(args: readonly string[], surroundings?: Surroundings): Promise<Ended> {
  return new Lodestub(args, surroundings).ended;
}

/** What a host read, and when. */
export interface Arrival {
  /** Machine time after the read, ms since 1970. */
  readonly atMs: number;
  /** A character a byte. */
  readonly bytes: string;
}

/** A host over serialport in another process, as `tests/hosts/read-port.js`. */
export class SerialHost extends Running {
  constructor(port: string, baud: number, seconds?: number) {
    super(process.execPath, [HOST, port, String(baud), ...(seconds === undefined ? [] : [String(seconds)])]);
  }

  /** Waits until it has set up the port. */
  ready(): Promise<void> {
    return until(
      () => this.stdout.startsWith('ready\n'),
      () => `the host: ${this.stderr}`,
    );
  }

  arrivals(): Arrival[] {
    return parseArrivals(this.stdout);
  }

  bytes(): string {
    return this.arrivals()
      .map(({ bytes }) => bytes)
      .join('');
  }
}

/** Reads what a host program prints: `ready`, then `<epochMs> <hex>` for each read. */
export function parseArrivals(printed: string): Arrival[] {
  return printed
    .split('\n')
    .slice(1, -1)
    .map((line) => {
      const [atMs, hex] = line.split(' ');
      return { atMs: Number(atMs), bytes: Buffer.from(hex ?? '', 'hex').toString('latin1') };
    });
}

/** A folder for a test file, removed when it is over. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'lodestub-test-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}
