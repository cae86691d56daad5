import { constants } from 'node:fs';
import { LodestubError } from '../../base/error.js';

// Numbers of Linux on x86, ARM, RISC-V and LoongArch. Source: Linux, include/uapi/asm-generic/ioctls.h, termbits.h,
// fcntl.h, poll.h and include/uapi/linux/inotify.h.
const TCFLSH = 0x540b;
const TCIFLUSH = 0;
const TIOCEXCL = 0x540c;
const TIOCNXCL = 0x540d;
const TIOCGEXCL = 0x80045440;
const TIOCSPTLCK = 0x40045431;
const FIONREAD = 0x541b;
const TCGETS2 = 0x802c542a;
const TCSETS2 = 0x402c542b;
/**
 * Offset of `c_ospeed` in `struct termios2`: four flag words, the line discipline, 19 control characters, `c_ispeed`.
 */
const OSPEED_OFFSET = 40;
const ISPEED_OFFSET = 36;
const CFLAG_OFFSET = 8;
const VMIN_OFFSET = 17 + 6;
const CS8_CREAD_CLOCAL = 0x30 | 0x80 | 0x800;
/** The speed stands in `c_ospeed` and `c_ispeed`, not in the flags. */
const BOTHER = 0x1000;
const IBSHIFT = 16;
/** Speeds that have a flag of their own, which programs that know termios only can read back. */
const SPEED_FLAGS = new Map([
  [1200, 0x9],
  [2400, 0xb],
  [4800, 0xc],
  [9600, 0xd],
  [19200, 0xe],
  [38400, 0xf],
  [57600, 0x1001],
  [115200, 0x1002],
  [230400, 0x1003],
  [460800, 0x1004],
  [500000, 0x1005],
  [576000, 0x1006],
  [921600, 0x1007],
  [1000000, 0x1008],
]);
/** Size of `struct termios2`, bytes. */
export const LINE_SETTINGS_BYTES = 44;
/**
 * "Ignore breaks": of no effect on a pseudo-terminal, where none come. All that makes a line raw (cfmakeraw and its
 * like) takes it away, so that a host which sets up the line at the speed that it has already is noticed.
 */
const IGNBRK = 0x1;
const F_SETFD = 2;
const FD_CLOEXEC = 1;
const F_GETFL = 3;
const F_SETFL = 4;
const POLLIN = 0x1;
const POLLHUP = 0x10;
const IN_CLOEXEC = 0o2000000;
export const IN_OPEN = 0x20;
export const IN_CLOSE = 0x18;
/** The kernel's event queue ran over: anything may have happened. */
export const IN_Q_OVERFLOW = 0x4000;
/** `struct inotify_event`: watch, mask, cookie, length of the name, name. */
const EVENT_HEAD_BYTES = 16;

const ARCHITECTURES = ['x64', 'ia32', 'arm64', 'arm', 'riscv64', 'loong64'];

/** The few calls into Linux that Node has no function for. Each takes about 0.3 µs; none blocks. */
export interface LinuxCalls {
  /** Makes reads and writes on a descriptor return at once. @returns false if the system refused */
  setNonBlocking(fd: number): boolean;
  /** Keeps a descriptor from programs that this one starts. @returns false if the system refused */
  setCloseOnExec(fd: number): boolean;
  /** Reads a terminal's settings, {@link LINE_SETTINGS_BYTES} of them. @returns false if they cannot be told */
  lineSettings(fd: number, into: Buffer): boolean;
  /**
   * Sets a terminal raw (8 data bits, no echo, nothing mapped, no flow control) at a speed in baud. @returns false if
   * refused
   */
  setRaw(fd: number, baud: number): boolean;
  /** Throws away what nobody has read from a terminal's slave. */
  flushInput(slaveFd: number): void;
  /** Bytes that lie unread in a terminal's slave; 0 only where none are on their way to it either. */
  unreadBytes(slaveFd: number): number;
  /** Whoever opens the slave of a pseudo-terminal is refused with EIO, or no longer. */
  setLocked(masterFd: number, isLocked: boolean): void;
  isExclusive(slaveFd: number): boolean;
  setExclusive(slaveFd: number, exclusive: boolean): void;
  /** Whether no process at all has the slave of this pty's master open. */
  isHungUp(masterFd: number): boolean;
  /** Reads what is there. @returns the bytes read, 0 when there is nothing or an error */
  read(fd: number, into: Buffer): number;
  /** @returns a new non-blocking inotify descriptor, or -1 */
  openInotify(): number;
  /** Starts to watch the opening and closing of a path. @returns the watch, or -1 */
  watchOpens(inotifyFd: number, path: string): number;
  unwatch(inotifyFd: number, watch: number): void;
  /**
   * The masks of the events that have come, oldest first. The kernel merges events of one kind that follow each other.
   */
  takeEvents(inotifyFd: number): readonly number[];
}

const NO_EVENTS: readonly number[] = [];

/**
 * Loads the calls. Loading takes some 10 ms, once.
 * @throws LodestubError `pty.platform` on anything but Linux, or a processor whose numbers differ
 */
export async function loadLinuxCalls(): Promise<LinuxCalls> {
  if (process.platform !== 'linux' || !ARCHITECTURES.includes(process.arch)) {
    throw new LodestubError({
      code: 'pty.platform',
      path: 'pty',
      expected: `Linux on ${ARCHITECTURES.join(', ')}`,
      received: `${process.platform} on ${process.arch}`,
      hint: 'Use a tcp: port, or a serial device.',
    });
  }
  const { default: koffi } = await import('koffi');
  // null: the program itself, which has its C library loaded already, whichever that is.
  const library = koffi.load(null);
  const ioctl = library.func('int ioctl(int fd, unsigned long request, void *argument)');
  const ioctlNumber = library.func('ioctl', 'int', ['int', 'unsigned long', 'long']);
  const fcntl = library.func('int fcntl(int fd, int command, long argument)');
  const poll = library.func('int poll(void *descriptors, unsigned long count, int timeoutMs)');
  const read = library.func('long read(int fd, void *into, size_t count)');
  const inotifyInit = library.func('int inotify_init1(int flags)');
  const inotifyAdd = library.func('int inotify_add_watch(int fd, const char *path, uint32_t mask)');
  const inotifyRemove = library.func('int inotify_rm_watch(int fd, int watch)');

  const scratch = Buffer.alloc(64);
  const events = Buffer.alloc(4096);
  /** `struct pollfd`: descriptor, events asked for, events that there are. */
  const pollFor = (fd: number, asked: number) => {
    scratch.writeInt32LE(fd, 0);
    scratch.writeInt16LE(asked, 4);
    return poll(scratch, 1, 0) > 0 ? scratch.readInt16LE(6) : 0;
  };
  return {
    setNonBlocking: (fd) => fcntl(fd, F_SETFL, fcntl(fd, F_GETFL, 0) | constants.O_NONBLOCK) === 0,
    setCloseOnExec: (fd) => fcntl(fd, F_SETFD, FD_CLOEXEC) === 0,
    lineSettings: (fd, into) => ioctl(fd, TCGETS2, into) === 0,
    setRaw: (fd, baud) => ioctl(fd, TCSETS2, rawTermios(baud)) === 0,
    flushInput: (fd) => void ioctlNumber(fd, TCFLSH, TCIFLUSH),
    unreadBytes(fd) {
      // What the master has written reaches the slave's buffer when the kernel comes to it; whoever polls an empty
      // slave has that done at once. Source: Linux, drivers/tty/n_tty.c, n_tty_poll (from memory; a test watches it).
      pollFor(fd, POLLIN);
      return ioctl(fd, FIONREAD, scratch) === 0 ? scratch.readInt32LE(0) : 0;
    },
    setLocked(fd, isLocked) {
      scratch.writeInt32LE(isLocked ? 1 : 0, 0);
      ioctl(fd, TIOCSPTLCK, scratch);
    },
    isExclusive: (fd) => ioctl(fd, TIOCGEXCL, scratch) === 0 && scratch.readInt32LE(0) !== 0,
    setExclusive: (fd, exclusive) => void ioctlNumber(fd, exclusive ? TIOCEXCL : TIOCNXCL, 0),
    isHungUp: (fd) => (pollFor(fd, 0) & POLLHUP) !== 0,
    read: (fd, into) => Math.max(0, Number(read(fd, into, into.length))),
    openInotify: () => inotifyInit(constants.O_NONBLOCK | IN_CLOEXEC) as number,
    watchOpens: (fd, path) => inotifyAdd(fd, path, IN_OPEN | IN_CLOSE) as number,
    unwatch: (fd, watch) => void inotifyRemove(fd, watch),
    takeEvents(fd) {
      const byteCount = Math.max(0, Number(read(fd, events, events.length)));
      if (byteCount === 0) return NO_EVENTS;
      const masks: number[] = [];
      for (let at = 0; at < byteCount; at += EVENT_HEAD_BYTES + events.readUInt32LE(at + 12)) {
        masks.push(events.readUInt32LE(at + 4));
      }
      return masks;
    },
  };
}

/** The speed in a terminal's settings, baud. */
export function speedOf(lineSettings: Buffer): number {
  return lineSettings.readUInt32LE(OSPEED_OFFSET);
}

/** `struct termios2` of a raw line: all input, output and local flags off but one, a read waits for one byte. */
function rawTermios(baud: number): Buffer {
  const termios = Buffer.alloc(LINE_SETTINGS_BYTES);
  termios.writeUInt32LE(IGNBRK, 0);
  const speedFlag = SPEED_FLAGS.get(baud) ?? BOTHER;
  termios.writeUInt32LE((CS8_CREAD_CLOCAL | speedFlag | (speedFlag << IBSHIFT)) >>> 0, CFLAG_OFFSET);
  termios.writeUInt8(1, VMIN_OFFSET);
  termios.writeUInt32LE(baud, ISPEED_OFFSET);
  termios.writeUInt32LE(baud, OSPEED_OFFSET);
  return termios;
}
