import { LodestubError } from '../../base/error.js';
import { Backlog } from './backlog.js';
import { type LinuxCalls, loadLinuxCalls } from './linux-calls.js';
import type { HostEvent, ModulePort, PortListener } from './port.js';
import { MovingLink } from './port-link.js';
import { PtyLine, type PtyLineOwner } from './pty-line.js';
import { loadPtyMaker, type PtyMaker } from './pty-pair.js';

/** So many pseudo-terminals that went without a hang-up are kept for hosts that wait; then the oldest is hung up. */
const MOST_DESERTED = 16;

/** How a pty port is opened. */
export interface PtyPortOptions {
  /** The module's own speed, baud: in force until a host sets another. */
  readonly baud: number;
  /** A symbolic link to the pty, removed at close. */
  readonly linkPath?: string;
}

class PtyPort implements ModulePort {
  /** Null while the port is away. */
  private line: PtyLine | null;
  /** The one that went last, if a host waits on it. */
  private silent: PtyLine | null = null;
  /** Those that went before. */
  private readonly deserted = new Set<PtyLine>();
  private readonly link: MovingLink | null;
  private readonly backlog = new Backlog();
  private readonly owner: PtyLineOwner;
  private nameNow: string;
  private moduleBaud: number;
  private isOpen = true;
  private isClosing = false;
  private isRefusing = false;
  private closing: Promise<void> | undefined;

  /** @throws LodestubError `pty.failed`, `link.taken`, `link.failed` */
  constructor(
    private readonly make: PtyMaker,
    private readonly calls: LinuxCalls,
    { baud, linkPath }: PtyPortOptions,
    private readonly listener: PortListener,
  ) {
    this.owner = {
      hostBytes: (bytes) => this.listener.hostBytes?.(bytes),
      hostOpened: () => {
        this.tell({ event: 'open' });
        this.feed();
      },
      hostClosed: () => this.tell({ event: 'close' }),
      hostLasts: () => this.feed(),
      hostSpeed: (speedBaud) => this.tell({ event: 'speed', baud: speedBaud }),
      failed: (cause) => this.fail(cause),
    };
    this.moduleBaud = baud;
    this.line = this.makeLine();
    this.nameNow = this.line.name;
    this.link = linkPath === undefined ? null : new MovingLink(linkPath);
    try {
      this.link?.make(this.nameNow);
    } catch (error) {
      this.line.free();
      throw error;
    }
    if (this.link !== null) process.on('exit', this.removeLink);
  }

  get name(): string {
    return this.nameNow;
  }

  write(bytes: Uint8Array): number {
    this.line?.look(false);
    // The listener may have closed it.
    const { line } = this;
    if (line === null || !this.isOpen) return bytes.length;
    if (!line.hostIsPresent) return this.backlog.push(bytes);
    this.feed();
    if (!this.backlog.isEmpty) return this.backlog.append(bytes);
    return bytes.length - line.send(bytes);
  }

  setSpeed(baud: number): void {
    this.moduleBaud = baud;
    this.line?.setSpeed(baud);
  }

  keep(bytes: number): void {
    this.backlog.limit(bytes);
  }

  refuse(isRefusing: boolean): void {
    if (isRefusing === this.isRefusing || this.isClosing) return;
    this.isRefusing = isRefusing;
    this.line?.refuse(isRefusing);
    this.listener.portEvent?.({ event: isRefusing ? 'refusing' : 'accepting' });
  }

  vanish(hangUp: boolean): void {
    this.line?.look(true);
    if (this.isClosing) return;
    const { line } = this;
    if (line === null) {
      if (hangUp) this.silent?.free();
      if (hangUp) this.silent = null;
      return;
    }
    const hadHost = line.hostIsPresent;
    this.line = null;
    this.removeLink();
    this.backlog.take();
    if (hangUp || !hadHost) line.free();
    else {
      this.silent = line;
      line.desert(() => {
        if (this.silent === line) this.silent = null;
        this.deserted.delete(line);
      });
    }
    if (hadHost) this.tell({ event: 'close' });
    if (this.isOpen) this.listener.portEvent?.({ event: 'gone' });
  }

  comeBack(as: 'same' | 'other'): void {
    if (this.line !== null || this.isClosing) return;
    if (this.silent !== null) this.deserted.add(this.silent);
    this.silent = null;
    for (const oldest of this.deserted) {
      if (this.deserted.size <= MOST_DESERTED) break;
      oldest.free();
      this.deserted.delete(oldest);
    }
    try {
      const line = as === 'same' ? this.makeLine() : this.makeOther();
      this.line = line;
      this.nameNow = line.name;
      if (as === 'same') this.link?.make(line.name);
      else this.link?.makeNext(line.name);
      if (this.isRefusing) line.refuse(true);
    } catch (error) {
      this.fail(error as Error);
      return;
    }
    const link = this.link === null ? {} : { link: this.link.path };
    this.listener.portEvent?.({ event: 'back', name: this.nameNow, ...link });
  }

  close(): Promise<void> {
    this.closing ??= this.drainAndFree();
    return this.closing;
  }

  private async drainAndFree(): Promise<void> {
    this.line?.look(true);
    this.isClosing = true;
    await this.line?.drain();
    this.free();
  }

  private makeLine(): PtyLine {
    return new PtyLine(this.make, this.calls, this.moduleBaud, this.owner);
  }

  /** One of another name than the last: while that has a pseudo-terminal, the system gives it to no other. */
  private makeOther(): PtyLine {
    const line = this.makeLine();
    if (line.name !== this.nameNow) return line;
    try {
      return this.makeLine();
    } finally {
      line.free();
    }
  }

  private feed(): void {
    this.backlog.feed((bytes) => this.line?.send(bytes) ?? 0);
  }

  private tell(event: HostEvent): void {
    if (this.isOpen) this.listener.hostEvent?.(event);
  }

  private readonly removeLink = (): void => this.link?.remove();

  private free(): void {
    if (!this.isOpen) return;
    this.isOpen = false;
    this.isClosing = true;
    process.off('exit', this.removeLink);
    this.removeLink();
    this.line?.free();
    this.silent?.free();
    for (const line of this.deserted) line.free();
    this.deserted.clear();
  }

  private fail(cause: Error): void {
    if (!this.isOpen) return;
    this.free();
    this.listener.failed?.(
      cause instanceof LodestubError
        ? cause
        : new LodestubError({
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
 * Opens a pseudo-terminal as a port. Hosts come and go; while none has it open all bytes are lost, or the newest kept,
 * as `keep` says; otherwise a host never gets a byte from before it came. `open` is reported for the first host,
 * `close` for the last, `speed` when a host sets up the line; the speed stays after it.
 *
 * It can go away: with a hang-up the pseudo-terminal and its link are gone. Without one, it stays for the hosts that
 * have it open, silent, and nobody else can open it. It comes back as another pseudo-terminal: of the same name if the
 * system gives it again (never while a host has the old one open), under the same link; or of another name and with
 * another link, PATH-2, PATH-3, ….
 * @throws LodestubError `pty.missing`, `pty.platform`, `pty.failed`, `link.taken`, `link.failed`
 */
export async function openPtyPort(options: PtyPortOptions, listener: PortListener): Promise<ModulePort> {
  const calls = await loadLinuxCalls();
  const make = await loadPtyMaker();
  return new PtyPort(make, calls, options, listener);
}
