import { closeSync, readdirSync, readlinkSync } from 'node:fs';
import type { ReadStream } from 'node:tty';
import { LodestubError } from '../../base/error.js';

/** A pseudo-terminal of our own: the master's descriptor and stream, the slave's path. No slave is open. */
export interface PtyPair {
  readonly masterFd: number;
  readonly master: ReadStream;
  readonly slavePath: string;
}

/** The part of node-pty that is used; `open` is missing from its own typings. */
interface NodePty {
  open(options: { encoding: null }): { fd: number; ptsName: string; master: ReadStream; slave: ReadStream };
}

/**
 * Makes a pseudo-terminal, at once.
 * @param holdSlave opens the slave; called while node-pty's own slave is still open, since the master fails once none
 *   is
 * @throws LodestubError `pty.failed` when the system gives no pseudo-terminal
 */
export type PtyMaker = (holdSlave: (pair: PtyPair) => void) => PtyPair;

/** Loads what makes pseudo-terminals. @throws LodestubError `pty.missing` when node-pty is not installed */
export async function loadPtyMaker(): Promise<PtyMaker> {
  const nodePty = await loadNodePty();
  return (holdSlave) => makePair(nodePty, holdSlave);
}

/** Makes a pseudo-terminal through node-pty. @throws LodestubError `pty.missing`, `pty.failed` */
export async function openPtyPair(holdSlave: (pair: PtyPair) => void): Promise<PtyPair> {
  const make = await loadPtyMaker();
  return make(holdSlave);
}

function makePair(nodePty: NodePty, holdSlave: (pair: PtyPair) => void): PtyPair {
  let terminal: ReturnType<NodePty['open']>;
  try {
    terminal = nodePty.open({ encoding: null });
  } catch (cause) {
    throw new LodestubError({
      code: 'pty.failed',
      path: 'pty',
      summary: `the system gives no pseudo-terminal (${(cause as Error).message})`,
      hint: 'Check that /dev/pts is mounted and /proc/sys/kernel/pty/max is not reached, or use a tcp: port.',
      cause,
    });
  }
  // Never terminal.destroy() or terminal.kill(): its process id is -1, and that signals every process of the user.
  const pair = { masterFd: terminal.fd, master: terminal.master, slavePath: terminal.ptsName };
  pair.master.removeAllListeners('error');
  pair.master.on('error', () => {});
  // This stream would read the host's end in our own process.
  terminal.slave.pause();
  const slaveFds = descriptorsOf(pair.slavePath);
  try {
    holdSlave(pair);
  } catch (error) {
    pair.master.destroy();
    throw error;
  } finally {
    closeSlaves(terminal.slave, slaveFds);
  }
  return pair;
}

/**
 * Closes node-pty's slave. The stream has opened the device anew and closes that descriptor only; the one it was made
 * from would stay open for ever.
 */
function closeSlaves(slave: ReadStream, slaveFds: readonly number[]): void {
  const streamFd = (slave as unknown as { _handle?: { fd?: number } })._handle?.fd;
  slave.destroy();
  for (const fd of slaveFds) {
    if (fd !== streamFd) closeSync(fd);
  }
}

function descriptorsOf(path: string): number[] {
  return readdirSync('/proc/self/fd')
    .map(Number)
    .filter((fd) => {
      try {
        return readlinkSync(`/proc/self/fd/${fd}`) === path;
      } catch {
        return false; // The descriptor of the listing itself, closed by now.
      }
    });
}

async function loadNodePty(): Promise<NodePty> {
  try {
    const loaded = (await import('node-pty')) as unknown as { default?: NodePty } & NodePty;
    return loaded.default ?? loaded;
  } catch (cause) {
    throw new LodestubError({
      code: 'pty.missing',
      path: 'pty',
      summary: 'the package node-pty is not installed, or was not built',
      hint:
        'Install g++, make and python3, then run "npm ci" again. ' +
        'The ports tcp:, udp:, stdout, file: and serial devices work without it.',
      cause,
    });
  }
}
