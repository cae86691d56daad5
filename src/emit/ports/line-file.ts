import {
  closeSync,
  constants,
  fstatSync,
  ftruncateSync,
  openSync,
  readSync,
  realpathSync,
  type Stats,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { LodestubError } from '../../base/error.js';
import { lockFile } from './file-lock.js';

/** Bytes collected before they go to the file in one call; to a FIFO a page, so that no call waits for many. */
const BUFFER_BYTES = 64 * 1024;
const FIFO_BUFFER_BYTES = 4096;
/** How much of an existing file is looked at to tell whether it is ours. */
const HEAD_BYTES = 4096;
const LINE_FEED = 0x0a;
/**
 * How long the reader of a FIFO may take nothing, ms. Everything stands still meanwhile, Ctrl-C included. A full FIFO
 * takes bytes again once a page of 4096 has been read, which at 9600 baud takes 4.3 s: such a reader is alive.
 */
const STALL_MS = 5000;
/** Pause between two attempts to write to a full FIFO, ms. */
const RETRY_MS = 2;

/** How an output file is opened. */
export interface LineFileOptions {
  /** Replaces whatever regular file is there. */
  readonly force?: boolean;
  /**
   * Tells from the first 4096 bytes (as Latin-1) whether an existing file is our own earlier output, and may be
   * replaced.
   */
  readonly isOwn: (head: string) => boolean;
}

/**
 * An output file that never ends in half a line because the disk was full, and never replaces what is not ours.
 * While it is open, nobody else opens it as a LineFile. All calls are synchronous. Devices and FIFOs are written as
 * they are; a FIFO that is full is waited for, as long as its reader takes something every 5 s.
 */
export class LineFile {
  private readonly buffer: Buffer;
  private readonly isRegular: boolean;
  private bufferedBytes = 0;
  private writtenBytes = 0;
  /** File offset after the last line feed that was written. */
  private wholeLinesBytes = 0;
  private failure: LodestubError | undefined;

  private constructor(
    readonly path: string,
    private fd: number,
    what: Stats,
  ) {
    this.isRegular = what.isFile();
    this.buffer = Buffer.allocUnsafe(what.isFIFO() ? FIFO_BUFFER_BYTES : BUFFER_BYTES);
  }

  /**
   * @throws LodestubError `out.exists` (a file that is not ours: untouched), `out.directory`, `out.missing-folder`,
   *   `out.denied`, `out.no-reader` (a FIFO that nobody reads), `out.busy` (another run writes it), `out.failed`
   */
  static open(path: string, options: LineFileOptions): LineFile {
    const fd = openAs(path, lookAt(path), options);
    const file = new LineFile(path, fd, fstatSync(fd));
    if (file.isRegular) ftruncateSync(fd, 0);
    return file;
  }

  /**
   * Finds out whether `open` would do, and leaves everything as it is.
   * @param whileThere is called while the file is there, be it for the moment only; it may throw
   * @throws LodestubError as `open`
   */
  static check(path: string, options: LineFileOptions, whileThere: () => void = () => {}): void {
    const before = lookAt(path);
    // A FIFO's reader would take the closing for the end.
    if (before?.isFIFO()) return;
    closeSync(openAs(path, before, options));
    try {
      whileThere();
    } finally {
      // A dangling link that somebody has made stays.
      if (before === undefined) unlinkSync(realpathSync(path));
    }
  }

  /**
   * Adds text (as UTF-8) or bytes; they reach the file at the latest with `flush` or `close`.
   * @throws LodestubError `out.full`, `out.closed`, `out.stalled`, `out.failed`: the file has been cut back to whole
   *   lines, and stays so
   */
  append(text: string | Uint8Array): void {
    if (this.failure !== undefined) throw this.failure;
    if (this.fd < 0) throw new Error(`append to ${this.path} after close`);
    const bytes = typeof text === 'string' ? Buffer.from(text, 'utf8') : text;
    for (let from = 0; from < bytes.length; ) {
      const count = Math.min(this.buffer.length - this.bufferedBytes, bytes.length - from);
      this.buffer.set(bytes.subarray(from, from + count), this.bufferedBytes);
      this.bufferedBytes += count;
      from += count;
      if (this.bufferedBytes === this.buffer.length) this.flush();
    }
  }

  /** Adds text of characters 0 to 255, a byte each. @throws as `append` */
  appendLatin1(text: string): void {
    if (text.length > this.buffer.length) {
      this.append(Buffer.from(text, 'latin1'));
      return;
    }
    if (this.failure !== undefined) throw this.failure;
    if (this.fd < 0) throw new Error(`append to ${this.path} after close`);
    if (text.length > this.buffer.length - this.bufferedBytes) this.flush();
    this.bufferedBytes += this.buffer.write(text, this.bufferedBytes, 'latin1');
  }

  /** Hands all bytes to the system. @throws as `append` */
  flush(): void {
    if (this.failure !== undefined) throw this.failure;
    let done = 0;
    try {
      while (done < this.bufferedBytes) {
        const count = this.write(done);
        const lastLineFeed = this.buffer.subarray(done, done + count).lastIndexOf(LINE_FEED);
        if (lastLineFeed >= 0) this.wholeLinesBytes = this.writtenBytes + lastLineFeed + 1;
        done += count;
        this.writtenBytes += count;
      }
      this.bufferedBytes = 0;
    } catch (error) {
      this.failure = this.cutBack(error as NodeJS.ErrnoException);
      throw this.failure;
    }
  }

  /** Flushes and frees the file; may be called twice. @throws as `append`, unless that error was thrown before */
  close(): void {
    if (this.fd < 0) return;
    try {
      if (this.failure === undefined) this.flush();
    } finally {
      const fd = this.fd;
      this.fd = -1;
      closeSync(fd);
    }
  }

  /** Writes what stands in the buffer from `from` on, or a part of it; waits for a FIFO that is full. */
  private write(from: number): number {
    let waitedSinceMs: number | undefined;
    for (;;) {
      try {
        return writeSync(this.fd, this.buffer, from, this.bufferedBytes - from);
      } catch (error) {
        waitedSinceMs ??= performance.now();
        const isFull = (error as NodeJS.ErrnoException).code === 'EAGAIN';
        if (!isFull || performance.now() - waitedSinceMs > STALL_MS) throw error;
        Atomics.wait(NEVER, 0, 0, RETRY_MS);
      }
    }
  }

  /** Leaves whole lines only, and says what happened. */
  private cutBack(cause: NodeJS.ErrnoException): LodestubError {
    this.bufferedBytes = 0;
    if (this.isRegular) {
      try {
        ftruncateSync(this.fd, this.wholeLinesBytes);
      } catch {
        // The disk that refused the write may refuse this too; the error below stands in any case.
      }
    }
    const isFull = ['ENOSPC', 'EDQUOT', 'EFBIG', 'EIO'].includes(cause.code ?? '');
    const [code, reason] = isFull ? FULL : (FAILURES[cause.code ?? ''] ?? ['out.failed', 'cannot be written']);
    return new LodestubError({
      code,
      path: this.path,
      summary: `${reason} (${cause.code ?? cause.message})`,
      hint: this.isRegular
        ? `The file holds the first ${this.wholeLinesBytes} bytes, whole lines. Free some space and run again.`
        : isFull
          ? 'Choose another place.'
          : 'See to what reads it, then run again.',
      cause,
    });
  }
}

const FULL = ['out.full', 'the disk is full or refuses the file'] as const;
/** What else may come of a write, by the system's word for it. */
const FAILURES: Readonly<Record<string, readonly [code: string, reason: string]>> = {
  EPIPE: ['out.closed', 'the reader has gone'],
  EAGAIN: ['out.stalled', 'the reader has stopped reading'],
};

/** Nobody wakes what waits for it. */
const NEVER = new Int32Array(new SharedArrayBuffer(4));

/** What is at a path; undefined for nothing. */
function lookAt(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch (error) {
    throw openError(path, error as NodeJS.ErrnoException);
  }
}

/** Opens a file as what it is, without changing what is in it. */
function openAs(path: string, before: Stats | undefined, options: LineFileOptions): number {
  try {
    if (before !== undefined && !before.isFile()) return openSpecial(path, before);
    return openRegular(path, before, options);
  } catch (error) {
    throw error instanceof LodestubError ? error : openError(path, error as NodeJS.ErrnoException);
  }
}

/** Opens a regular file, new or to be replaced: one that may not be replaced is refused. */
function openRegular(path: string, before: Stats | undefined, options: LineFileOptions): number {
  const mustCheck = before !== undefined && before.size > 0 && options.force !== true;
  const fd = openSync(path, (mustCheck ? constants.O_RDWR : constants.O_WRONLY) | constants.O_CREAT, 0o666);
  try {
    if (!lockFile(fd)) {
      throw new LodestubError({
        code: 'out.busy',
        path,
        summary: 'another run is writing this file, or this one for something else',
        hint: 'End that run first, or choose another name.',
      });
    }
    if (mustCheck) {
      const head = Buffer.alloc(HEAD_BYTES);
      const headBytes = readSync(fd, head, 0, HEAD_BYTES, 0);
      if (!options.isOwn(head.toString('latin1', 0, headBytes))) {
        throw new LodestubError({
          code: 'out.exists',
          path,
          summary: 'the file exists and is not an earlier output of Lodestub; it was left as it is',
          hint: 'Choose another name, or replace it with --force.',
        });
      }
    }
    return fd;
  } catch (error) {
    closeSync(fd);
    throw error;
  }
}

/** Opens a device or a FIFO. */
function openSpecial(path: string, what: Stats): number {
  if (what.isDirectory()) {
    throw new LodestubError({
      code: 'out.directory',
      path,
      expected: 'a file',
      received: 'a folder',
      hint: 'Add a file name.',
    });
  }
  if (!what.isFIFO()) return openSync(path, constants.O_WRONLY | constants.O_NOCTTY);
  // Opening a FIFO waits for a reader, and writing for room, and the whole program with it: neither may last.
  return openSync(path, constants.O_WRONLY | constants.O_NONBLOCK);
}

function openError(path: string, cause: NodeJS.ErrnoException): LodestubError {
  const known: Record<string, [code: string, summary: string, hint: string]> = {
    ENOENT: ['out.missing-folder', 'the folder does not exist', 'Make the folder first.'],
    ENOTDIR: ['out.missing-folder', 'a part of the path is not a folder', 'Correct the path.'],
    EISDIR: ['out.directory', 'this is a folder', 'Add a file name.'],
    EACCES: ['out.denied', 'no permission to write here', 'Choose another place, or change the permissions.'],
    EPERM: ['out.denied', 'no permission to write here', 'Choose another place, or change the permissions.'],
    EROFS: ['out.denied', 'the file system is read-only', 'Choose another place.'],
    ENXIO: ['out.no-reader', 'nobody reads this FIFO', 'Start its reader first.'],
    ENOSPC: ['out.full', 'the disk is full', 'Free some space.'],
  };
  const [code, summary, hint] = known[cause.code ?? ''] ?? [
    'out.failed',
    `cannot be opened (${cause.code ?? cause.message})`,
    'Choose another path.',
  ];
  return new LodestubError({ code, path, summary, hint, cause });
}
