/** How often the queue is looked at, ms: far below what a user notices at the end of a run. */
const LOOK_EVERY_MS = 5;

/**
 * Waits until a queue is empty, or has not moved for a while (nobody reads it, so its bytes are lost).
 * @param queuedBytes tells the bytes still waiting
 * @param stallMs how long the queue may stand still before it is given up, ms, above 0
 * @returns the bytes left behind
 */
export async function waitUntilSent(queuedBytes: () => number, stallMs: number): Promise<number> {
  let last = queuedBytes();
  let stillMs = 0;
  while (last > 0 && stillMs < stallMs) {
    await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
    const now = queuedBytes();
    stillMs = now === last ? stillMs + LOOK_EVERY_MS : 0;
    last = now;
  }
  return last;
}
