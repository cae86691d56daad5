import { createRequire } from 'node:module';
import type { LinuxCalls } from './linux-calls.js';

/** Wakes when any descriptor becomes readable. serialport's binding has one; Node itself has none for inotify. */
interface Poller {
  once(event: 'readable', callback: (error: Error | null) => void): void;
  stop(): void;
}

/**
 * Watchers not in use. They are kept, not closed: serialport's poller leaves its end to the garbage collector, and
 * would then still name a descriptor that has long been somebody else's.
 */
const spares: OpenWatcher[] = [];

/** Tells of the opening and closing of one path, through inotify, as soon as the event loop is free. */
export class OpenWatcher {
  private watch = -1;
  private readonly poller: Poller | undefined;

  private constructor(
    private readonly calls: LinuxCalls,
    private readonly fd: number,
  ) {
    const PollerClass = loadPoller();
    this.poller = PollerClass === undefined ? undefined : new PollerClass(fd);
  }

  /** @returns undefined where inotify is not to be had (as many watches as the system allows are in use) */
  static start(calls: LinuxCalls, path: string): OpenWatcher | undefined {
    let watcher = spares.pop();
    if (watcher === undefined) {
      const fd = calls.openInotify();
      if (fd < 0) return undefined;
      watcher = new OpenWatcher(calls, fd);
    }
    watcher.watch = calls.watchOpens(watcher.fd, path);
    if (watcher.watch >= 0) return watcher;
    spares.push(watcher);
    return undefined;
  }

  /**
   * Calls back whenever there are events to take; without serialport's poller never, and they have to be looked for.
   */
  wake(callback: () => void): void {
    this.poller?.once('readable', (error) => {
      if (error !== null || this.watch < 0) return;
      callback();
      if (this.watch >= 0) this.wake(callback);
    });
  }

  /** The masks of what happened since the last call, oldest first. */
  take(): readonly number[] {
    return this.calls.takeEvents(this.fd);
  }

  stop(): void {
    if (this.watch < 0) return;
    this.calls.unwatch(this.fd, this.watch);
    this.watch = -1;
    this.poller?.stop();
    while (this.take().length > 0);
    spares.push(this);
  }
}

function loadPoller(): (new (fd: number) => Poller) | undefined {
  try {
    // As serialport itself finds it, wherever the package manager has put it.
    const fromHere = createRequire(import.meta.url);
    return createRequire(fromHere.resolve('serialport'))('@serialport/bindings-cpp/dist/poller.js').Poller;
  } catch {
    return undefined;
  }
}
