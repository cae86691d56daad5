import { createReadStream } from 'node:fs';
import { open, stat } from 'node:fs/promises';
import { Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { LodestubError } from '../base/error.js';

/** Bytes that are read at once. */
const READ_BYTES = 256 * 1024;
const GZIP = [0x1f, 0x8b] as const;

/** A recorded stream. */
export interface LogSource {
  /** Its bytes, a character each (latin1). @throws LodestubError `inspect.damaged`, `inspect.unreadable` */
  readonly chunks: AsyncIterable<string>;
  /** Its next bytes may be long in coming: it is no file. */
  readonly mayWait?: true;
  /** When it was last written to, UTC, ms since 1970; of a file. */
  readonly fileMs?: number;
}

/**
 * Opens a log; what is compressed by gzip is read uncompressed, whatever it is called.
 * @throws LodestubError `inspect.missing`, `inspect.folder`, `inspect.unreadable`
 */
export async function openLog(path: string): Promise<LogSource> {
  try {
    const what = await stat(path);
    if (what.isDirectory()) {
      const hint = 'Name one file of it.';
      throw new LodestubError({
        code: 'inspect.folder',
        path,
        expected: 'a log or a port',
        received: 'a folder',
        hint,
      });
    }
    if (!what.isFile()) return { chunks: textOf(peeked(createReadStream(path)), path), mayWait: true };
    const file = await open(path);
    const head = Buffer.alloc(2);
    await file.read(head, 0, 2, 0);
    const bytes = file.createReadStream({ start: 0, highWaterMark: READ_BYTES });
    return { chunks: textOf(isGzip(head) ? unpacked(bytes) : bytes, path), fileMs: what.mtimeMs };
  } catch (error) {
    throw failureOf(error, path);
  }
}

/** Standard input as a log. */
export function openStandardInput(input: Readable): LogSource {
  return { chunks: textOf(peeked(input), 'standard input'), mayWait: true };
}

/** Finds out from what comes first whether a stream that cannot be read twice is compressed. */
async function* peeked(input: Readable): AsyncGenerator<Buffer> {
  const chunks = input[Symbol.asyncIterator]() as AsyncIterator<Buffer>;
  const first = await chunks.next();
  if (first.done === true) return;
  const all = (async function* () {
    yield first.value;
    yield* { [Symbol.asyncIterator]: () => chunks };
  })();
  yield* isGzip(first.value) ? unpacked(Readable.from(all)) : all;
}

function isGzip(head: Uint8Array): boolean {
  return head[0] === GZIP[0] && head[1] === GZIP[1];
}

function unpacked(bytes: Readable): AsyncIterable<Buffer> {
  const gunzip = createGunzip({ chunkSize: READ_BYTES });
  bytes.on('error', (error) => gunzip.destroy(error));
  gunzip.on('close', () => bytes.destroy());
  return bytes.pipe(gunzip);
}

async function* textOf(bytes: AsyncIterable<Buffer>, path: string): AsyncGenerator<string> {
  try {
    for await (const chunk of bytes) yield chunk.toString('latin1');
  } catch (error) {
    throw failureOf(error, path);
  }
}

/** What a file's error means to a user; what is no such error stays as it is. */
function failureOf(error: unknown, path: string): unknown {
  if (error instanceof LodestubError) return error;
  const { code = '', message } = error as NodeJS.ErrnoException;
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    const hint = 'Name a log, a serial device, or tcp:HOST:PORT.';
    return new LodestubError({ code: 'inspect.missing', path, summary: 'there is no such file', hint, cause: error });
  }
  if (code.startsWith('Z_')) {
    const summary = `its compression (gzip) is damaged (${message})`;
    const hint = 'Fetch it again.';
    return new LodestubError({ code: 'inspect.damaged', path, summary, hint, cause: error });
  }
  const summary = code === 'EACCES' || code === 'EPERM' ? 'reading it is not allowed' : message;
  return new LodestubError({ code: 'inspect.unreadable', path, summary, cause: error });
}
