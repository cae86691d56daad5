import type { Readable } from 'node:stream';

/** So much is read at once, bytes, and so long, ms; then reading rests, and who writes has to wait. */
const BUDGET_BYTES = 256 * 1024;
const BUDGET_MS = 20;
const REST_MS = 50;

/**
 * Reads a stream with rests, so that one that floods leaves time for all else: 5 MB/s at most, and less where what is
 * read takes long to be made sense of.
 * @param rested is called when a rest begins
 */
export function readPaced(stream: Readable, take: (bytes: Buffer) => void, rested: () => void = () => {}): void {
  let readBytes = 0;
  let tookMs = 0;
  let sinceMs = performance.now();
  stream.on('data', (bytes: Buffer) => {
    const beginMs = performance.now();
    if (beginMs - sinceMs >= REST_MS) {
      sinceMs = beginMs;
      readBytes = 0;
      tookMs = 0;
    }
    take(bytes);
    readBytes += bytes.length;
    tookMs += performance.now() - beginMs;
    if (readBytes < BUDGET_BYTES && tookMs < BUDGET_MS) return;
    stream.pause();
    rested();
    setTimeout(() => stream.resume(), REST_MS);
  });
}
