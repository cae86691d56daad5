import { closeSync, constants, openSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJournal, sentStream } from './journal.js';
import { Lodestub, lodestub, type Running, SerialHost, sleep, temporaryFolder, until } from './process.js';

const folder = temporaryFolder();

/** Resident memory of a process, MB. */
function residentMb(pid: number): number {
  return Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024;
}

/** How much more a run may hold while nobody reads: the garbage collector's freedom, far below the 8 MB lost, MB. */
const FLAT_MB = 25;

describe.skipIf(process.platform !== 'linux')('hosts that behave badly', () => {
  it.concurrent('one that never reads: the run keeps its time, and its memory is flat', async () => {
    const journal = join(folder, 'deaf.jsonl');
    const args = ['run', 'bench', '--module', 'single-band-115200-10hz', '--pace', '50', '--for', '200 s'];
    const run = new Lodestub([...args, '--journal', journal]);
    const { port, startedMs } = await run.begun();
    const fd = openSync(port, constants.O_RDWR | constants.O_NOCTTY);
    await sleep(1500);
    const earlyMb = residentMb(run.child.pid as number);
    await sleep(1500);
    const growthMb = residentMb(run.child.pid as number) - earlyMb;
    const ended = await run.ended;
    const tookMs = Date.now() - startedMs;
    closeSync(fd);
    expect(ended.code, ended.stderr).toBe(0);
    // Close waits at most 1 s for such a host; the rest is for a loaded machine.
    expect(tookMs).toBeGreaterThanOrEqual(4000);
    expect(tookMs).toBeLessThan(4000 + 3000);
    expect(growthMb).toBeLessThan(FLAT_MB);
    const records = readJournal(journal);
    expect(records.at(-1)).toMatchObject({ type: 'end', epochs: 2000 });
  });

  it.concurrent('one that is killed and comes back: the run goes on, and both got whole parts of the stream', async () => {
    const journal = join(folder, 'killed.jsonl');
    const run = new Lodestub(['run', 'bench', '--pace', '10', '--journal', journal]);
    const { port } = await run.begun();
    const got: string[] = [];
    for (let time = 0; time < 2; time++) {
      const host = new SerialHost(port, 9600);
      await host.ready();
      await until(() => host.bytes().length > 2000, 'some sentences');
      host.signal('SIGKILL');
      expect(await host.ended).toMatchObject({ signal: 'SIGKILL' });
      got.push(host.bytes());
      await sleep(300);
    }
    run.signal('SIGINT');
    expect((await run.ended).code).toBe(0);
    const records = readJournal(journal);
    const sent = sentStream(records);
    const [first, second] = got as [string, string];
    const firstAt = sent.indexOf(first);
    expect(firstAt).toBeGreaterThanOrEqual(0);
    expect(sent.indexOf(second)).toBeGreaterThan(firstAt + first.length);
    const events = records.filter(({ type }) => type === 'host').map(({ event }) => event);
    // The first one sets up the line, which then is set up for the second too.
    expect(events).toEqual(['open', 'speed', 'close', 'open', 'close']);
  });

  it.concurrent('one at another speed than the module: its speed is on record', async () => {
    const journal = join(folder, 'speed.jsonl');
    const run = new Lodestub(['run', 'bench', '--journal', journal]);
    const { port } = await run.begun();
    const host = new SerialHost(port, 19_200, 0.5);
    await host.ended;
    run.signal('SIGINT');
    await run.ended;
    const speeds = readJournal(journal).filter(({ type, event }) => type === 'host' && event === 'speed');
    expect(speeds.map(({ baud }) => baud)).toEqual([19_200]);
  });

  it.concurrent('the reader of --port stdout goes: code 1, one message, no trace', async () => {
    const run = new Lodestub(['run', 'bench', '--port', 'stdout', '--pace', '10']);
    run.child.stdout?.once('data', () => run.child.stdout?.destroy());
    const { code, stderr } = await run.ended;
    expect(code).toBe(1);
    expect(stderr.trimEnd().split('\n').at(-1)).toMatch(/^stdout\.closed: stdout: .+\.$/);
    expect(stderr).not.toMatch(/^\s+at /m);
  });

  it.concurrent('a TCP client that resets, and another that follows', async () => {
    const run = new Lodestub(['run', 'bench', '--port', 'tcp:0', '--pace', '10']);
    const { port } = await run.begun();
    const { connect } = await import('node:net');
    for (let time = 0; time < 2; time++) {
      const client = connect(Number(port.split(':').at(-1)), '127.0.0.1');
      let text = '';
      client.on('data', (bytes) => {
        text += bytes.toString('latin1');
      });
      await until(() => text.includes('$GPZDA'), 'a sentence');
      client.resetAndDestroy();
    }
    run.signal('SIGTERM');
    expect((await run.ended).code).toBe(0);
  });
});

it.skipIf(process.platform !== 'linux')(
  'a machine without node-pty still has all but the pty',
  { concurrent: true },
  async () => {
    // A loader that refuses the package, as where it was not built.
    const hide = join(folder, 'hide.mjs');
    const { writeFileSync } = await import('node:fs');
    writeFileSync(
      hide,
      `import { register } from 'node:module';
     const hook = "export const resolve = (name, context, next) => { if (name === 'node-pty') throw new Error('gone'); return next(name, context); };";
     register('data:text/javascript,' + encodeURIComponent(hook));`,
    );
    const env = { NODE_OPTIONS: `--import ${hide}` };
    const pty = await lodestub(['run', 'bench', '--for', '1 s'], { env });
    expect(pty).toMatchObject({ code: 2, stdout: '' });
    expect(pty.stderr).toMatch(/^pty\.missing: pty: .+\.$/m);
    const stdout = await lodestub(['run', 'bench', '--for', '2 s', '--pace', '10', '--port', 'stdout'], { env });
    expect(stdout.code).toBe(0);
    expect(stdout.stdout).toContain('$GPRMC');
  },
);

it.concurrent('two runs at once have two ptys, and do not disturb each other', async () => {
  const runs = [0, 1].map(() => new Lodestub(['run', 'bench', '--for', '3 s', '--pace', '2']));
  const ports = await Promise.all(runs.map(async (run) => (await run.begun()).port));
  expect(new Set(ports).size).toBe(2);
  const hosts: Running[] = ports.map((port) => new SerialHost(port, 9600));
  for (const run of runs) expect((await run.ended).code).toBe(0);
  for (const host of hosts) await host.ended;
});
