import { expect, it } from 'vitest';
import { fuzzRun } from '../run/commands-fuzz.js';

const BYTES = 1_000_000;
const SEED = 9;
/** What the heap may wander by: caches of satellites and of the test itself. */
const WANDER_BYTES = 20_000_000;

it.each(['lodestub', 'counted-frames', './tests/dialect/everything.yaml'])(
  `${BYTES} bytes of madness into a module that speaks %s: it goes on, in the same memory (seed ${SEED})`,
  async (dialect) => {
    const { last, ...figures } = await fuzzRun(dialect, SEED, BYTES);
    console.log(JSON.stringify({ dialect, ...figures, bytesPerS: Math.round(figures.bytesPerS) }));
    expect(last).toMatch(/\$G[NP]GGA,/);
    expect(figures.grownBytes).toBeLessThan(WANDER_BYTES);
  },
);
