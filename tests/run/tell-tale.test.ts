import { expect, it } from 'vitest';
import { RandomStreams } from '../../src/base/random.js';
import { TellTales } from '../../src/run/tell-tale.js';
import { heapBytes } from '../dialect/fuzz.js';

/** Names of the last 100,000 to 200,000 take less; those of all that are drawn here take twice as much. */
const MOST_MB = 40;

it('tell-tales are all different, and take no more memory the more there are', () => {
  const tellTales = new TellTales(new RandomStreams(1).stream('tell-tales'), [{ latitudeDeg: 52, longitudeDeg: 9 }]);
  const before = heapBytes();
  let seen = new Set<number>();
  let alike = 0;
  for (let count = 0; count < 400_000; count++) {
    if (count % 100_000 === 0) seen = new Set();
    const { latitudeDeg, longitudeDeg } = tellTales.next();
    const name = latitudeDeg * 6000 * 4_000_000 + longitudeDeg * 6000;
    if (seen.has(name)) alike++;
    seen.add(name);
  }
  seen = new Set();
  expect(alike).toBe(0);
  expect((heapBytes() - before) / 1e6).toBeLessThan(MOST_MB);
  expect(tellTales.next()).toBeDefined();
});
