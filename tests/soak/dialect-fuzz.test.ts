import { expect, it } from 'vitest';
import { ALL_FEATURES } from '../dialect/all-features.js';
import { fuzz } from '../dialect/fuzz.js';
import { shipped } from '../dialect/helper.js';

const BYTES = 10_000_000;
const SEED = 77;
/** What the heap may wander by: caches of the test itself. */
const WANDER_BYTES = 2_000_000;
/** A host at 10 Mbaud sends a million bytes a second. */
const LEAST_BYTES_PER_S = 1_000_000;

it.each(['lodestub', 'counted-frames', 'all features'])(
  `${BYTES} bytes of madness through %s (seed ${SEED})`,
  async (name) => {
    const { verdicts, bytesPerS, grownBytes, bytes } = fuzz(
      name === 'all features' ? ALL_FEATURES : await shipped(name),
      SEED,
      BYTES,
    );
    console.log(JSON.stringify({ name, bytes, bytesPerS: Math.round(bytesPerS), grownBytes, verdicts }));
    for (const [verdict, count] of Object.entries(verdicts)) expect(count, verdict).toBeGreaterThan(0);
    expect(grownBytes).toBeLessThan(WANDER_BYTES);
    expect(bytesPerS).toBeGreaterThan(LEAST_BYTES_PER_S);
  },
);
