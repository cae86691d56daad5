import { writeSync } from 'node:fs';
import { LodestubError } from '../../base/error.js';
import { LINE_SETTINGS_BYTES, type LinuxCalls, speedOf } from './linux-calls.js';
import type { PtyMaker, PtyPair } from './pty-pair.js';
import { SlaveWatch } from './slave-watch.js';
import { waitUntilSent } from './wait-until-sent.js';

/** How often host and speed are looked at when nothing is written, ms. */
const LOOK_EVERY_MS = 50;
/** The same while hosts are refused, which costs a host that is there its reads until the next look, ms. */
const LOOK_WHILE_REFUSING_MS = 5;
/** How long it is waited for a host that reads nothing, ms: on a busy machine a host can be held up for long. */
const STALL_MS = 1000;

/** Whom a pseudo-terminal tells what happens on it. */
export interface PtyLineOwner {
  hostBytes(bytes: Uint8Array): void;
  /** The first host has come; nothing lies unread. */
  hostOpened(): void;
  /** The last host has gone. */
  hostClosed(): void;
  /** A host has set the line up, or its speed anew. */
  hostSpeed(baud: number): void;
  /** Called every 50 ms or so while a host is there. */
  hostLasts(): void;
  failed(cause: Error): void;
}

/** One pseudo-terminal from its making to its end: who is at its far end, at what speed the line is, what is lost. */
export class PtyLine {
  readonly name: string;
  private readonly pair: PtyPair;
  private readonly watch: SlaveWatch;
  private timer: NodeJS.Timeout;
  private isOpen = true;
  /** The line's settings as we have made them, and as they are. */
  private readonly ours = Buffer.alloc(LINE_SETTINGS_BYTES);
  private readonly present = Buffer.alloc(LINE_SETTINGS_BYTES);
  private speedBaud: number;
  /** No host has set up the line: it has the module's speed. */
  private isModules = true;
  /** What hosts have sent that has not been told. */
  private untold: Buffer = Buffer.alloc(0);
  private isLooking = false;

  /** @throws LodestubError `pty.failed` */
  constructor(
    make: PtyMaker,
    private readonly calls: LinuxCalls,
    baud: number,
    private owner: PtyLineOwner,
  ) {
    let watch: SlaveWatch | undefined;
    this.pair = make(({ masterFd, slavePath }) => {
      watch = new SlaveWatch(calls, masterFd, slavePath);
      // A host that this program starts must not have the master too: the line would never hang up.
      const isOurs = calls.setCloseOnExec(masterFd) && calls.setNonBlocking(masterFd);
      if (isOurs && calls.setRaw(watch.slaveFd, baud)) return;
      watch.close();
      throw speedRefused(slavePath, baud);
    });
    this.watch = watch as unknown as SlaveWatch;
    // node-pty's own slave has gone: that is nobody's coming or going.
    this.watch.look();
    this.name = this.pair.slavePath;
    calls.lineSettings(this.pair.masterFd, this.ours);
    this.speedBaud = speedOf(this.ours);
    this.pair.master.on('data', (bytes: Buffer) => {
      this.untold = Buffer.concat([this.untold, bytes]);
      this.look(false);
    });
    this.pair.master.on('close', () => this.fail(new Error('the pseudo-terminal was closed')));
    this.timer = this.lookEvery(LOOK_EVERY_MS);
    this.watch.wake(() => this.look(false));
  }

  get hostIsPresent(): boolean {
    return this.watch.hostIsPresent;
  }

  /** @returns how many bytes the host took, that is, the kernel for it */
  send(bytes: Uint8Array): number {
    let sent = 0;
    try {
      while (this.isOpen && sent < bytes.length) sent += writeSync(this.pair.masterFd, bytes, sent);
    } catch (error) {
      // EAGAIN: the host does not read, as on a real UART the bytes are lost. After anything else the master is of no
      // use.
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') this.fail(error as Error);
    }
    return sent;
  }

  /** The module's speed is another one: the line follows as long as no host has set it up. */
  setSpeed(baud: number): void {
    this.look(false);
    if (!this.isOpen || !this.isModules) return;
    if (!this.calls.setRaw(this.watch.slaveFd, baud)) {
      this.fail(speedRefused(this.name, baud));
      return;
    }
    this.calls.lineSettings(this.pair.masterFd, this.ours);
    this.speedBaud = speedOf(this.ours);
  }

  /** Whoever opens it is refused, or no longer. */
  refuse(isRefusing: boolean): void {
    this.look(false);
    if (!this.isOpen) return;
    clearInterval(this.timer);
    this.timer = this.lookEvery(isRefusing ? LOOK_WHILE_REFUSING_MS : LOOK_EVERY_MS);
    this.watch.refuse(isRefusing);
  }

  /** Finds out who has come or gone and at what speed the line is, and tells it; then, what hosts have sent. */
  look(confirm: boolean): void {
    // Whoever is told of something may write, and so look, before he has taken it in: the next is told after that.
    if (!this.isOpen || this.isLooking) return;
    this.isLooking = true;
    try {
      this.lookForHosts(confirm);
      this.lookForSpeed(confirm);
      this.tellBytes();
    } catch (error) {
      this.fail(error as Error);
    } finally {
      this.isLooking = false;
    }
  }

  /** From here on it is nobody's: who has it open waits in vain, and it ends when they have gone. */
  desert(ended: () => void): void {
    const end = () => {
      this.free();
      ended();
    };
    this.owner = { hostBytes() {}, hostOpened() {}, hostSpeed() {}, hostLasts() {}, hostClosed: end, failed: end };
    this.refuse(true);
  }

  /** Waits until the host has read all, or reads nothing. */
  async drain(): Promise<void> {
    // Closing the master throws away what a host has not read yet.
    const unreadBytes = () => (this.isOpen && this.hostIsPresent ? this.calls.unreadBytes(this.watch.slaveFd) : 0);
    await waitUntilSent(unreadBytes, STALL_MS);
  }

  /** Ends it, at once: hosts see a hang-up. */
  free(): void {
    if (!this.isOpen) return;
    this.isOpen = false;
    clearInterval(this.timer);
    // The stream only: see pty-pair.ts for what must never be called.
    this.pair.master.destroy();
    this.watch.close();
  }

  private lookEvery(intervalMs: number): NodeJS.Timeout {
    return setInterval(() => {
      this.look(true);
      if (this.isOpen && this.hostIsPresent) this.owner.hostLasts();
    }, intervalMs).unref();
  }

  private lookForHosts(confirm: boolean): void {
    const change = this.watch.look(confirm);
    if (change === 'blinked') this.hostOpened();
    if (change === 'closed' || change === 'changed' || change === 'blinked') this.hostClosed(change !== 'changed');
    if (change === 'opened' || change === 'changed') this.hostOpened();
  }

  private lookForSpeed(confirm: boolean): void {
    // Whoever has set it has come first.
    if (!this.hostIsPresent && this.newSpeed() !== null) this.lookForHosts(confirm);
    const baud = this.newSpeed();
    if (baud === null) return;
    this.isModules = false;
    this.speedBaud = baud;
    // Bytes and a new speed carry no times. What names the speed asks for it, at the old one; all else is at the new.
    this.readMaster();
    if (names(this.untold, baud)) this.tellBytes();
    if (this.isOpen) this.owner.hostSpeed(baud);
  }

  /** The speed that a host has set since the last look, baud; null: none has. */
  private newSpeed(): number | null {
    // Whoever is told of something may have ended it.
    if (!this.isOpen || !this.calls.lineSettings(this.pair.masterFd, this.present)) return null;
    const baud = speedOf(this.present);
    const isNew = this.isModules ? !this.present.equals(this.ours) : baud !== this.speedBaud;
    return isNew && baud !== 0 ? baud : null;
  }

  /** Tells what hosts have sent. */
  private tellBytes(): void {
    const bytes = this.untold;
    if (bytes.length === 0) return;
    this.untold = Buffer.alloc(0);
    if (this.isOpen) this.owner.hostBytes(bytes);
  }

  /** Takes what hosts have sent and the stream has not come to yet. */
  private readMaster(): void {
    const some = Buffer.alloc(4096);
    for (let count = 1; count > 0 && this.isOpen; ) {
      count = this.calls.read(this.pair.masterFd, some);
      this.untold = Buffer.concat([this.untold, some.subarray(0, count)]);
    }
  }

  private hostOpened(): void {
    if (!this.isOpen) return;
    this.calls.flushInput(this.watch.slaveFd);
    this.owner.hostOpened();
  }

  /** @param isLast nobody has come in its place: the line's speed is what it has left */
  private hostClosed(isLast: boolean): void {
    if (isLast) this.lookForSpeed(false);
    // What it wrote last comes before its going.
    this.readMaster();
    this.tellBytes();
    if (!this.isOpen) return;
    this.calls.flushInput(this.watch.slaveFd);
    this.owner.hostClosed();
  }

  private fail(cause: Error): void {
    if (!this.isOpen) return;
    this.free();
    this.owner.failed(cause);
  }
}

/** Whether bytes have a speed in them: in decimal, or as four bytes in either order. */
function names(bytes: Buffer, baud: number): boolean {
  const word = Buffer.alloc(4);
  word.writeUInt32LE(baud);
  return [String(baud), word, Buffer.from(word).reverse()].some((form) => bytes.includes(form));
}

function speedRefused(path: string, baud: number): LodestubError {
  return new LodestubError({
    code: 'pty.failed',
    path,
    summary: `the pseudo-terminal cannot be set to ${baud} baud`,
    hint: 'Choose a usual speed, such as 9600.',
  });
}
