import { expect, it } from 'vitest';
import { fuzzRun } from './commands-fuzz.js';

/** Here; a million each are in the soak tests. */
const BYTES = 40_000;
const SEED = 8;
/** Commands that a run of so many bytes has at least. */
const COMMANDS = 300;

it.each(['lodestub', 'counted-frames'])(
  `${BYTES} bytes of madness into a module that speaks %s: it goes on (seed ${SEED})`,
  async (dialect) => {
    const { commands, last } = await fuzzRun(dialect, SEED, BYTES);
    expect(commands).toBeGreaterThan(COMMANDS);
    expect(last).toMatch(/\$G[NP]GGA,/);
  },
);
