import type { Writable } from 'node:stream';
import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';
import { waitUntilSent } from './wait-until-sent.js';

/** What a slow reader may leave waiting in our memory, bytes; beyond it bytes are lost. */
const QUEUE_LIMIT_BYTES = 1024 * 1024;
/** How long close waits for a reader that takes nothing, ms. */
const STALL_MS = 1000;

/**
 * Opens standard output as a port. It has no way back: host bytes and host events are never reported. A reader that
 * has gone is reported once, as `failed` with LodestubError `stdout.closed` (`stdout.failed` for any other error),
 * and all bytes from then on are lost. It does not go away, nor refuse anybody: what is kept of it is whole.
 * @param stream another stream than standard output, for tests
 */
export async function openStdoutPort(listener: PortListener, stream: Writable = process.stdout): Promise<ModulePort> {
  let isOpen = true;
  let hasFailed = false;
  const fail = (cause: NodeJS.ErrnoException) => {
    if (hasFailed) return;
    hasFailed = true;
    if (isOpen) listener.failed?.(stdoutError(cause));
  };
  // Stays after close: an error for bytes already handed over may come late, and must not end the program.
  stream.on('error', fail);
  return {
    name: 'stdout',
    cannot: ['go', 'hang-up', 'other-name', 'refuse', 'keep'],
    write(bytes) {
      const room = QUEUE_LIMIT_BYTES - stream.writableLength;
      if (!isOpen || hasFailed || room <= 0 || stream.destroyed) return bytes.length;
      const taken = Math.min(room, bytes.length);
      try {
        // A copy: the stream may hold it for long, and the caller may use its array again.
        stream.write(Buffer.from(bytes.subarray(0, taken)));
      } catch (error) {
        fail(error as NodeJS.ErrnoException);
        return bytes.length;
      }
      return bytes.length - taken;
    },
    async close() {
      if (!isOpen) return;
      await waitUntilSent(() => (hasFailed ? 0 : stream.writableLength), STALL_MS);
      isOpen = false;
    },
  };
}

function stdoutError(cause: NodeJS.ErrnoException): LodestubError {
  const hasGone = ['EPIPE', 'ECONNRESET', 'ERR_STREAM_DESTROYED'].includes(cause.code ?? '');
  return new LodestubError({
    code: hasGone ? 'stdout.closed' : 'stdout.failed',
    path: 'stdout',
    summary: hasGone ? 'the reader of standard output has gone' : `cannot be written (${cause.code ?? cause.message})`,
    hint: hasGone ? 'Keep the reader running for as long as the run lasts.' : 'Check where standard output leads.',
    cause,
  });
}
