/** So many rests of reading within so long, ms, are a flood: over 1.5 s of writing faster than it is read. */
const RESTS = 32;
const WITHIN_MS = 10_000;

/**
 * Tells a host that floods its output from one that writes much now and then, however long it goes on.
 * @returns to be called at each rest of reading with the machine's clock, ms; true: it is a flood
 */
export function floodGauge(): (nowMs: number) => boolean {
  let restsMs: number[] = [];
  return (nowMs) => {
    restsMs = [...restsMs, nowMs].filter((atMs) => nowMs - atMs < WITHIN_MS).slice(-RESTS);
    return restsMs.length === RESTS;
  };
}
