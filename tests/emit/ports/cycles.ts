import { closeSync, constants, existsSync, openSync, readdirSync, readFileSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import type { ModulePort } from '../../../src/emit/ports/port.js';
import { openPtyPort } from '../../../src/emit/ports/pty-port.js';
import { openTcpPort } from '../../../src/emit/ports/tcp-port.js';
import { sleep, until } from '../../contract/rigs.js';

setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;

/** What a process holds that a leak would show in. */
export interface Holdings {
  readonly descriptors: number;
  readonly inotifyWatches: number;
  /** Intervals that have been started and not been ended, since the counting began. */
  readonly intervals: number;
  readonly exitListeners: number;
  /** In use after a collection of garbage, and the process's whole, MB. */
  readonly heapMb: number;
  readonly residentMb: number;
}

/** Counts intervals from here on. */
function countIntervals(): { live(): number; stop(): void } {
  const [start, end] = [globalThis.setInterval, globalThis.clearInterval];
  const live = new Set<unknown>();
  globalThis.setInterval = ((...args: Parameters<typeof start>) => {
    const timer = start(...args);
    live.add(timer);
    return timer;
  }) as typeof start;
  globalThis.clearInterval = ((timer: Parameters<typeof end>[0]) => {
    live.delete(timer);
    end(timer);
  }) as typeof end;
  return {
    live: () => live.size,
    stop() {
      globalThis.setInterval = start;
      globalThis.clearInterval = end;
    },
  };
}

function inotifyWatches(): number {
  let count = 0;
  for (const fd of readdirSync('/proc/self/fdinfo')) {
    const path = `/proc/self/fdinfo/${fd}`;
    // The descriptor of the listing itself is closed by now.
    if (existsSync(path)) count += readFileSync(path, 'utf8').split('inotify wd:').length - 1;
  }
  return count;
}

async function take(intervals: number): Promise<Holdings> {
  // Streams close in their own time.
  await sleep(100);
  collectGarbage();
  // What other tests of this process have left may need a second time.
  await sleep(20);
  collectGarbage();
  const { heapUsed, rss } = process.memoryUsage();
  return {
    descriptors: readdirSync('/proc/self/fd').length,
    inotifyWatches: inotifyWatches(),
    intervals,
    exitListeners: process.listenerCount('exit'),
    heapMb: heapUsed / 1e6,
    residentMb: rss / 1e6,
  };
}

/** One going and return of a port. */
type Cycle = (port: ModulePort, count: number) => Promise<void>;

const LINE = Buffer.from('$GPTXT,01,01,02,STILL HERE*00\r\n');

/** A host opens the pty, it goes in one way or the other, the host closes it, it comes back. */
const ptyCycle: Cycle = async (port, count) => {
  const fd = openSync(port.name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  port.write(LINE);
  port.vanish!(count % 3 !== 0);
  if (count % 2 === 0) closeSync(fd);
  port.comeBack!(count % 4 === 0 ? 'other' : 'same');
  if (count % 2 !== 0) closeSync(fd);
  // The event loop has its turn, as between two ticks of a run.
  if (count % 8 === 0) await new Promise((resolve) => setImmediate(resolve));
};

/** The same over TCP; clients of a port that goes silently leave by themselves. */
function tcpCycle(isBack: () => number): Cycle {
  return async (port, count) => {
    const before = isBack();
    const client = await joined(port.name);
    port.write(LINE);
    port.vanish!(count % 3 !== 0);
    if (count % 3 === 0) client.destroy();
    port.comeBack!(count % 4 === 0 ? 'other' : 'same');
    await until(() => isBack() > before, 'the port to be back');
    client.destroy();
  };
}

async function joined(name: string): Promise<Socket> {
  const client = connect(Number(name.split(':').at(-1)), '127.0.0.1');
  client.on('error', () => {});
  client.resume();
  await new Promise<void>((resolve) => client.once('connect', () => resolve()));
  return client;
}

/**
 * Lets a port go and come back so many times, with a host that comes and goes.
 * @returns what the process held after a tenth of them, and after all
 */
export async function cycle(kind: 'pty' | 'tcp', times: number, linkPath: string): Promise<[Holdings, Holdings]> {
  const intervals = countIntervals();
  let backs = 0;
  const errors: Error[] = [];
  const listener = {
    portEvent: ({ event }: { event: string }) => {
      if (event === 'back') backs++;
    },
    failed: (error: Error) => errors.push(error),
  };
  const port =
    kind === 'pty' ? await openPtyPort({ baud: 9600, linkPath }, listener) : await openTcpPort({ port: 0 }, listener);
  const run = kind === 'pty' ? ptyCycle : tcpCycle(() => backs);
  let first: Holdings | undefined;
  for (let count = 1; count <= times; count++) {
    await run(port, count);
    if (errors.length > 0) throw errors[0];
    if (count === Math.round(times / 10)) first = await take(intervals.live());
  }
  const last = await take(intervals.live());
  await port.close();
  intervals.stop();
  if (backs !== times) throw new Error(`came back ${backs} times of ${times}`);
  return [first as Holdings, last];
}
