import {
  closeSync,
  createReadStream,
  createWriteStream,
  mkdtempSync,
  openSync,
  readSync,
  rmSync,
  statSync,
} from 'node:fs';
import { stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { createGunzip } from 'node:zlib';
import { LodestubError } from '../base/error.js';

/** A file open for reading, at any place. */
export interface OpenRecording {
  /** @param position of the first byte, from 0 @returns how many bytes were read; 0 at the end @throws LodestubError */
  read(into: Uint8Array, position: number): number;
  close(): void;
}

/** A recorded stream in a file, or in memory. */
export interface RecordingFile {
  /** As messages show it. */
  readonly path: string;
  /** Bytes of the stream, unpacked. */
  readonly size: number;
  open(): OpenRecording;
}

/** A stream in memory. */
export function recordingOfBytes(bytes: Uint8Array, path = 'memory'): RecordingFile {
  return {
    path,
    size: bytes.length,
    open: () => ({
      read(into, position) {
        const part = bytes.subarray(position, position + into.length);
        into.set(part);
        return part.length;
      },
      close() {},
    }),
  };
}

/**
 * Finds a recorded stream. One packed with gzip is unpacked into a temporary file, which is gone from its folder at
 * once and from the disk when the process ends.
 * @param path the file
 * @param shownPath as messages show it
 * @throws LodestubError `replay.missing`, `replay.empty`, `replay.gzip`, `replay.unpack`
 */
export async function findRecording(path: string, shownPath: string = path): Promise<RecordingFile> {
  const size = await sizeOf(path, shownPath);
  const head = Buffer.alloc(2);
  const plain = fileAt(path, shownPath, size);
  const open = plain.open();
  try {
    open.read(head, 0);
  } finally {
    open.close();
  }
  const file = head[0] === 0x1f && head[1] === 0x8b ? await unpackedOnce(path, shownPath) : plain;
  if (file.size > 0) return file;
  const hint = 'Name a file that a receiver’s output was recorded in.';
  throw new LodestubError({ code: 'replay.empty', path: shownPath, summary: 'there is not a byte in it', hint });
}

async function sizeOf(path: string, shownPath: string): Promise<number> {
  const hint = 'Name a file that a receiver’s output was recorded in.';
  const missing = (summary: string, cause?: unknown) =>
    new LodestubError({ code: 'replay.missing', path: shownPath, summary, hint, cause });
  let status: Awaited<ReturnType<typeof stat>>;
  try {
    status = await stat(path);
  } catch (error) {
    throw missing(reasonOf(error), error);
  }
  if (!status.isFile()) throw missing(status.isDirectory() ? 'this is a folder' : 'it is not a file');
  return status.size;
}

function reasonOf(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  if (code === 'ENOENT' || code === 'ENOTDIR') return 'there is no such file';
  return code === 'EACCES' || code === 'EPERM' ? 'reading it is not allowed' : message;
}

function fileAt(path: string, shownPath: string, size: number): RecordingFile {
  return {
    path: shownPath,
    size,
    open() {
      const hint = 'Name a file that a receiver’s output was recorded in.';
      let fd: number;
      try {
        fd = openSync(path, 'r');
      } catch (error) {
        const summary = reasonOf(error);
        throw new LodestubError({ code: 'replay.missing', path: shownPath, summary, hint, cause: error });
      }
      let isOpen = true;
      return {
        read: (into, position) => readAt(fd, into, position, shownPath),
        close() {
          if (isOpen) closeSync(fd);
          isOpen = false;
        },
      };
    },
  };
}

function readAt(fd: number, into: Uint8Array, position: number, shownPath: string): number {
  try {
    return readSync(fd, into, 0, into.length, position);
  } catch (error) {
    const summary = `it cannot be read from byte ${position} on (${reasonOf(error)})`;
    throw new LodestubError({ code: 'replay.read', path: shownPath, summary, cause: error });
  }
}

/** Files that have been unpacked, by path, time and size: their space is held until the process ends. */
const UNPACKED = new Map<string, Promise<{ readonly fd: number; readonly size: number }>>();

async function unpackedOnce(path: string, shownPath: string): Promise<RecordingFile> {
  const { mtimeMs, size: packedSize } = statSync(path);
  const key = `${resolve(path)} ${mtimeMs} ${packedSize}`;
  const unpacking = UNPACKED.get(key) ?? unpack(path, shownPath);
  UNPACKED.set(key, unpacking);
  try {
    const { fd, size } = await unpacking;
    const open = { read: (into: Uint8Array, at: number) => readAt(fd, into, at, shownPath), close() {} };
    return { path: shownPath, size, open: () => open };
  } catch (error) {
    UNPACKED.delete(key);
    throw error;
  }
}

async function unpack(path: string, shownPath: string): Promise<{ fd: number; size: number }> {
  let folder: string | null = null;
  try {
    folder = mkdtempSync(join(tmpdir(), 'lodestub-'));
    const unpacked = join(folder, 'recording');
    await pipeline(createReadStream(path), createGunzip(), createWriteStream(unpacked, { mode: 0o600 }));
    return { fd: openSync(unpacked, 'r'), size: statSync(unpacked).size };
  } catch (error) {
    const { code = '', message } = error as NodeJS.ErrnoException;
    if (code.startsWith('Z_')) {
      const summary = `its compression (gzip) is damaged, or its end is missing (${message})`;
      const hint = 'Fetch it again, or unpack what can be unpacked and name that.';
      throw new LodestubError({ code: 'replay.gzip', path: shownPath, summary, hint, cause: error });
    }
    const summary = `it cannot be unpacked into ${tmpdir()} (${code === '' ? message : code})`;
    const hint = 'Unpack it where there is room (gunzip), and name that file.';
    throw new LodestubError({ code: 'replay.unpack', path: shownPath, summary, hint, cause: error });
  } finally {
    // The file lives on without a name as long as it is open.
    if (folder !== null) rmSync(folder, { recursive: true, force: true });
  }
}
