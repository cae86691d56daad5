import type { Utc } from '../base/time.js';

/** The machine's time on the next whole second: where `start: now` begins. */
export function nextWholeSecond(): { readonly utc: Utc; readonly unixMs: number } {
  const unixMs = Math.ceil(Date.now() / 1000) * 1000;
  const date = new Date(unixMs);
  return {
    unixMs,
    utc: {
      year: date.getUTCFullYear(),
      month: date.getUTCMonth() + 1,
      day: date.getUTCDate(),
      hour: date.getUTCHours(),
      minute: date.getUTCMinutes(),
      second: date.getUTCSeconds(),
    },
  };
}

/** Waits until the machine's clock shows `unixMs`, or until told to stop. */
export async function untilUnixMs(unixMs: number, signal: { readonly isStopped: boolean }): Promise<void> {
  while (Date.now() < unixMs && !signal.isStopped) {
    await new Promise((resolve) => setTimeout(resolve, Math.max(1, unixMs - Date.now())));
  }
}
