import { writeSync } from 'node:fs';
import { LodestubError } from '../../base/error.js';
import { type LinuxCalls, loadLinuxCalls } from './linux-calls.js';
import type { HostEvent, ModulePort, PortListener } from './port.js';
import { makeLink, removeLinkSync } from './port-link.js';
import { openPtyPair, type PtyPair } from './pty-pair.js';
import { SlaveWatch } from './slave-watch.js';
import { waitUntilSent } from './wait-until-sent.js';

/** How often host and speed are looked at when nothing is written, ms. */
const LOOK_EVERY_MS = 50;
/** How long close waits for a host that reads nothing, ms. */
const STALL_MS = 300;

/** How a pty port is opened. */
export interface PtyPortOptions {
  /** The module's own speed, baud: in force until a host sets another. */
  readonly baud: number;
  /** A symbolic link to make to the pty, removed at close. */
  readonly linkPath?: string;
}

class PtyPort implements ModulePort {
  private readonly timer: NodeJS.Timeout;
  private isOpen = true;
  private speedBaud: number;

  constructor(
    readonly name: string,
    private readonly pair: PtyPair,
    private readonly calls: LinuxCalls,
    private readonly watch: SlaveWatch,
    private readonly options: PtyPortOptions,
    private readonly listener: PortListener,
  ) {
    this.speedBaud = calls.lineSpeedBaud(pair.masterFd);
    pair.master.on('data', (bytes: Buffer) => {
      if (this.isOpen) listener.hostBytes?.(bytes);
    });
    pair.master.on('close', () => this.fail(new Error('the pseudo-terminal was closed')));
    this.timer = setInterval(() => this.look(true), LOOK_EVERY_MS);
    this.timer.unref();
    watch.wake(() => this.look(false));
    if (options.linkPath !== undefined) process.on('exit', this.removeLink);
  }

  write(bytes: Uint8Array): number {
    this.look(false);
    if (!this.isOpen || !this.watch.hostIsPresent) return bytes.length;
    let sent = 0;
    try {
      while (sent < bytes.length) sent += writeSync(this.pair.masterFd, bytes, sent);
    } catch (error) {
      // EAGAIN: the host does not read, as on a real UART the bytes are lost. After anything else the master is of no
      // use.
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') this.fail(error as Error);
    }
    return bytes.length - sent;
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    this.look(true);
    // Closing the master throws away what a host has not read yet. Empty twice: more may be on its way from the
    // kernel's first buffer.
    for (let pass = 0; pass < 2 && this.isOpen && this.watch.hostIsPresent; pass++) {
      const left = await waitUntilSent(() => (this.isOpen ? this.calls.unreadBytes(this.watch.slaveFd) : 0), STALL_MS);
      if (left > 0) break;
      await new Promise((resolve) => setTimeout(resolve, 2));
    }
    this.free();
  }

  private readonly removeLink = (): void => {
    if (this.options.linkPath !== undefined) removeLinkSync(this.options.linkPath, this.pair.slavePath);
  };

  /** Finds out who has come or gone and at what speed the line is, and reports it. */
  private look(confirm: boolean): void {
    if (!this.isOpen) return;
    try {
      const change = this.watch.look(confirm);
      if (change === 'blinked') this.hostOpened();
      if (change === 'closed' || change === 'changed' || change === 'blinked') this.hostClosed();
      if (change === 'opened' || change === 'changed') this.hostOpened();
      const baud = this.calls.lineSpeedBaud(this.pair.masterFd);
      if (baud !== this.speedBaud && baud !== 0) {
        this.speedBaud = baud;
        this.tell({ event: 'speed', baud });
      }
    } catch (error) {
      this.fail(error as Error);
    }
  }

  private hostOpened(): void {
    this.calls.flushInput(this.watch.slaveFd);
    this.tell({ event: 'open' });
  }

  private hostClosed(): void {
    // What it wrote last comes before its going.
    const last = Buffer.alloc(4096);
    for (let count = 1; count > 0 && this.isOpen; ) {
      count = this.calls.read(this.pair.masterFd, last);
      if (count > 0) this.listener.hostBytes?.(Buffer.from(last.subarray(0, count)));
    }
    if (!this.isOpen) return;
    this.calls.flushInput(this.watch.slaveFd);
    this.tell({ event: 'close' });
  }

  private tell(event: HostEvent): void {
    if (this.isOpen) this.listener.hostEvent?.(event);
  }

  private free(): void {
    if (!this.isOpen) return;
    this.isOpen = false;
    clearInterval(this.timer);
    process.off('exit', this.removeLink);
    this.removeLink();
    // The stream only: see pty-pair.ts for what must never be called.
    this.pair.master.destroy();
    this.watch.close();
  }

  private fail(cause: Error): void {
    if (!this.isOpen) return;
    this.free();
    this.listener.failed?.(
      new LodestubError({
        code: 'pty.failed',
        path: this.name,
        summary: `the pseudo-terminal can no longer be used (${cause.message})`,
        hint: 'Start again.',
        cause,
      }),
    );
  }
}

/**
 * Opens a pseudo-terminal as a port. Hosts come and go; while none has it open all bytes are lost, and a host never
 * gets a byte from before it came. `open` is reported for the first host, `close` for the last, `speed` when a host
 * sets another; the speed stays after it.
 * @throws LodestubError `pty.missing`, `pty.platform`, `pty.failed`, `link.taken`, `link.failed`
 */
export async function openPtyPort(options: PtyPortOptions, listener: PortListener): Promise<ModulePort> {
  const calls = await loadLinuxCalls();
  let watch: SlaveWatch | undefined;
  const pair = await openPtyPair(({ masterFd, slavePath }) => {
    watch = new SlaveWatch(calls, masterFd, slavePath);
    if (calls.setRaw(watch.slaveFd, options.baud) && calls.setNonBlocking(masterFd)) return;
    watch.close();
    throw new LodestubError({
      code: 'pty.failed',
      path: slavePath,
      summary: `the pseudo-terminal cannot be set to ${options.baud} baud`,
      hint: 'Choose a usual speed, such as 9600.',
    });
  });
  // node-pty's own slave has gone: that is nobody's coming or going.
  watch!.look();
  try {
    if (options.linkPath !== undefined) makeLink(options.linkPath, pair.slavePath);
  } catch (error) {
    pair.master.destroy();
    watch!.close();
    throw error;
  }
  return new PtyPort(pair.slavePath, pair, calls, watch!, options, listener);
}
