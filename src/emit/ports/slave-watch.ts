import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { IN_CLOSE, IN_OPEN, IN_Q_OVERFLOW, type LinuxCalls } from './linux-calls.js';
import { OpenWatcher } from './open-watcher.js';

/** What a look found: nothing new, a first host, the last host gone, one gone and another come, one come and gone. */
export type HostChange = 'none' | 'opened' | 'closed' | 'changed' | 'blinked';

/**
 * Knows whether any host has the slave of a pty open, and keeps a handle of its own on it, which keeps the line up in
 * between.
 *
 * inotify tells that something was opened or closed, but merges like events that follow each other, so they cannot be
 * counted. Whenever something was closed, the question is put to the kernel: close our own handle, see whether the
 * master is hung up, open it again. That takes some 10 µs, within one turn of the event loop.
 */
export class SlaveWatch {
  private ownFd: number;
  /** Undefined where inotify is not to be had: a host is then taken to be there always. */
  private readonly watcher: OpenWatcher | undefined;
  private isPresent: boolean;
  private mustConfirm = false;
  private isRefusing = false;
  /** A host had set its exclusive flag before the refusal, and is there still. */
  private hostIsExclusive = false;

  constructor(
    private readonly calls: LinuxCalls,
    private readonly masterFd: number,
    private readonly slavePath: string,
  ) {
    this.ownFd = openSlave(slavePath);
    this.watcher = OpenWatcher.start(calls, slavePath);
    this.isPresent = this.watcher === undefined;
  }

  get hostIsPresent(): boolean {
    return this.isPresent;
  }

  /** Calls back as soon as a host may have come or gone. */
  wake(callback: () => void): void {
    this.watcher?.wake(callback);
  }

  /**
   * Whoever opens the slave is refused, or no longer: ordinary users with EBUSY, all others with EIO. A host that is
   * there already is left alone, but for one thing: the kernel answers its reads with EIO too after it has refused
   * somebody with EIO, until the next look.
   */
  refuse(isRefusing: boolean): void {
    if (isRefusing === this.isRefusing) return;
    this.isRefusing = isRefusing;
    if (isRefusing) this.hostIsExclusive = this.calls.isExclusive(this.ownFd);
    this.shut();
    if (!isRefusing) this.hostIsExclusive = false;
  }

  /** Our own handle on the slave; another one after each look. */
  get slaveFd(): number {
    return this.ownFd;
  }

  /**
   * Looks at what has happened since the last look.
   * @param confirm asks the kernel once more if there was a doubt: a host may come or go while it is being asked
   */
  look(confirm = false): HostChange {
    if (this.watcher === undefined) return 'none';
    const events = this.watcher.take();
    const wasPresent = this.isPresent;
    const isSpoilt = this.isRefusing && this.isPresent && this.readsFail();
    if (events.length === 0 && !isSpoilt) {
      if (!confirm || !this.mustConfirm) return 'none';
      this.mustConfirm = this.ask(this.watcher);
      return this.isPresent === wasPresent ? 'none' : this.isPresent ? 'opened' : 'closed';
    }
    const hasOpened = events.some((mask) => (mask & IN_OPEN) !== 0);
    if (!isSpoilt && !events.some((mask) => (mask & (IN_CLOSE | IN_Q_OVERFLOW)) !== 0)) {
      this.isPresent = true;
      return wasPresent ? 'none' : 'opened';
    }
    this.ask(this.watcher);
    this.mustConfirm = true;
    if (!wasPresent) return this.isPresent ? 'opened' : hasOpened ? 'blinked' : 'none';
    if (!this.isPresent) return 'closed';
    // First a close, then an open: one host has taken another's place. The other way round a second one has looked in.
    return hasOpened && ((events[0] ?? IN_OPEN) & IN_OPEN) === 0 ? 'changed' : 'none';
  }

  close(): void {
    if (this.ownFd >= 0) closeSync(this.ownFd);
    this.watcher?.stop();
    this.ownFd = -1;
  }

  /** Asks the kernel whether any host is there. @returns true if hosts came or went in the meantime */
  private ask(watcher: OpenWatcher): boolean {
    const wasExclusive = this.isRefusing ? this.hostIsExclusive : this.calls.isExclusive(this.ownFd);
    // Otherwise we could not open it again ourselves; and with no host left, nobody else would ever clear it.
    if (wasExclusive || this.isRefusing) this.calls.setExclusive(this.ownFd, false);
    if (this.isRefusing) {
      this.calls.setLocked(this.masterFd, false);
      // An opening that succeeds takes back what the refused ones have done: without it the last close goes unseen.
      closeSync(openSlave(this.slavePath));
    }
    closeSync(this.ownFd);
    this.ownFd = -1;
    this.isPresent = !this.calls.isHungUp(this.masterFd);
    this.ownFd = openSlave(this.slavePath);
    if (!this.isPresent) this.hostIsExclusive = false;
    if (this.isRefusing) this.shut();
    else if (wasExclusive && this.isPresent) this.calls.setExclusive(this.ownFd, true);
    // Our own: a close and an open, after an open (and a close, which is merged) if it was locked.
    return watcher.take().length > (this.isRefusing ? 3 : 2);
  }

  /** Locks the slave, or opens it to all that a host's own flag lets in. */
  private shut(): void {
    this.calls.setExclusive(this.ownFd, this.isRefusing || this.hostIsExclusive);
    this.calls.setLocked(this.masterFd, this.isRefusing);
  }

  /** Whether a refused opening has made the kernel fail everybody: writing nothing then fails too. */
  private readsFail(): boolean {
    try {
      writeSync(this.ownFd, NOTHING);
      return false;
    } catch {
      return true;
    }
  }
}

const NOTHING = Buffer.alloc(0);

function openSlave(path: string): number {
  return openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
}
