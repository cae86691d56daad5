import { createRequire } from 'node:module';

// Source: Linux, include/uapi/asm-generic/fcntl.h; the same on other systems that have the call.
const LOCK_EX = 2;
const LOCK_NB = 4;

/** Takes the lock of an open file, without waiting; undefined where the system has no such locks. */
let flock: ((fd: number) => boolean) | undefined | null = null;

/**
 * Locks a file for as long as its descriptor is open, against whoever asks for its lock too: flock(2). The system lets
 * go of it however the program ends. Loading the call takes some 30 ms, once.
 * @returns false: it is locked already, by another program or through another descriptor
 */
export function lockFile(fd: number): boolean {
  if (flock === null) flock = loadFlock();
  return flock?.(fd) ?? true;
}

function loadFlock(): ((fd: number) => boolean) | undefined {
  try {
    const koffi = createRequire(import.meta.url)('koffi') as typeof import('koffi');
    const call = koffi.load(null).func('int flock(int fd, int operation)');
    // Anything else that is wrong, as on a file system without locks, is no reason not to write.
    return (fd) => call(fd, LOCK_EX | LOCK_NB) === 0 || koffi.errno() !== koffi.os.errno.EWOULDBLOCK;
  } catch {
    return undefined;
  }
}
