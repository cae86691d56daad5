import type { Evidence, LifeEvent } from '../evidence.js';

/** When the host's process ended without having been told to. */
export function ownEndsOf({ life }: Evidence): LifeEvent[] {
  return life.filter(({ event, isByUs }) => event === 'ended' && !isByUs);
}

/** `the host ended with exit code 1`, `the host was ended by SIGSEGV`. */
export function wordsOf({ code, signal }: Pick<LifeEvent, 'code' | 'signal'>): string {
  if (signal !== null) return `the host was ended by ${signal}`;
  return `the host ended${code === null ? '' : ` with exit code ${code}`}`;
}

/** The host's own end since which its process was not there at a time; null: it was there, or had not begun. */
export function endBefore(atMs: number, { life }: Evidence): LifeEvent | null {
  const last = life.findLast((each) => each.atMs < atMs);
  return last?.event === 'ended' && !last.isByUs ? last : null;
}
