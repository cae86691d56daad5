import { expect, it } from 'vitest';
import { RandomStreams } from '../../src/base/random.js';
import { TellTales } from '../../src/run/tell-tale.js';
import { heapBytes } from '../dialect/fuzz.js';

/** Twice as many are known by heart at most, which takes 1 MB; all that are drawn here would take 9. */
const KNOWN = 3000;
const MOST_MB = 3;

it('tell-tales are all different, and take no more memory the more there are', () => {
  const stream = new RandomStreams(1).stream('tell-tales');
  const tellTales = new TellTales(stream, [{ latitudeDeg: 52, longitudeDeg: 9 }], KNOWN);
  const before = heapBytes();
  let alike = 0;
  for (let round = 0; round < 20; round++) {
    const seen = new Set<string>();
    for (let count = 0; count < KNOWN; count++) seen.add(Object.values(tellTales.next()).join());
    alike += KNOWN - seen.size;
  }
  expect(alike).toBe(0);
  expect((heapBytes() - before) / 1e6).toBeLessThan(MOST_MB);
  expect(tellTales.next()).toBeDefined();
});
