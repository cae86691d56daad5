import { describe, expect, it } from 'vitest';
import { floodGauge } from '../../../src/trial/host/flood.js';

/** When it was told of a flood, of rests of reading so far apart, for so long; null: never. */
function toldMs(everyMs: number, forMs: number): number | null {
  const isFloodAt = floodGauge();
  for (let nowMs = 0; nowMs < forMs; nowMs += everyMs) if (isFloodAt(nowMs)) return nowMs;
  return null;
}

describe('a flood', () => {
  it('is reading that rests every 50 ms, after some seconds', () => {
    expect(toldMs(50, 60_000)).toBe(31 * 50);
  });

  it('is none where much is written now and then, however long', () => {
    expect(toldMs(1_000, 24 * 3_600_000)).toBeNull();
  });
});
