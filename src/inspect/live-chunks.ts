import type { StreamChunk } from './inspect-stream.js';
import type { PortSource } from './port-source.js';

/** How long a live port is listened to. */
export interface LiveOptions {
  readonly forMs: number;
  /** Asked every so often: true ends it. */
  readonly isStopped: () => boolean;
  /** Told where the port went before its time. @param why a clause */
  readonly onGone: (why: string) => void;
  /** The clock that times of arrival are of, ms; left out: this machine's. */
  readonly nowMs?: () => number;
}

/** How often it is asked whether the listening has been stopped, ms. */
const ASK_MS = 50;

/**
 * What comes from a live port, with the times of arrival, from the first `$` on: the port is opened in the middle of a
 * sentence as a rule. The last chunk has no bytes: it tells when the listening ended, and whether the port went.
 */
export async function* liveChunks(source: PortSource, options: LiveOptions): AsyncGenerator<StreamChunk> {
  const { forMs, isStopped, onGone, nowMs = () => performance.timeOrigin + performance.now() } = options;
  const waiting: StreamChunk[] = [];
  let hasBegun = false;
  let isOver = false;
  let gone: string | null = null;
  let wake = () => {};
  source.hear({
    onBytes: (bytes, atMs) => {
      const text = Buffer.from(bytes).toString('latin1');
      const from = hasBegun ? 0 : text.indexOf('$');
      if (from < 0) return;
      hasBegun = true;
      waiting.push({ text: text.slice(from), atMs });
      wake();
    },
    onGone: (why) => {
      if (!isOver) {
        gone = why;
        onGone(why);
      }
      isOver = true;
      wake();
    },
  });
  const end = setTimeout(() => {
    isOver = true;
    wake();
  }, forMs);
  const ask = setInterval(() => {
    if (isStopped()) isOver = true;
    if (isOver) wake();
  }, ASK_MS);
  try {
    for (;;) {
      yield* waiting.splice(0);
      if (isOver) break;
      await new Promise<void>((resolve) => {
        wake = resolve;
      });
    }
    yield { text: '', atMs: nowMs(), end: { gone } };
  } finally {
    clearTimeout(end);
    clearInterval(ask);
    source.hear({ onBytes: () => {}, onGone: () => {} });
  }
}
