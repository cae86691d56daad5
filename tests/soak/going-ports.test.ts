import { join } from 'node:path';
import { expect, it } from 'vitest';
import { temporaryFolder } from '../cli/process.js';
import { cycle } from '../emit/ports/cycles.js';

const folder = temporaryFolder();
/** How many times a pty does; TCP a fifth of it. */
const CYCLES = Number(process.env.LODESTUB_SOAK_CYCLES ?? 10_000);
const TIMES = { pty: CYCLES, tcp: CYCLES / 5 };
/** What memory may wander by itself, MB: a kilobyte a time, of 9000, would be more. */
const HEAP_MB = 3;
const RESIDENT_MB = 20;

it.each(['pty', 'tcp'] as const)(
  'a %s port goes and comes back thousands of times, and nothing is left',
  async (kind) => {
    const begin = performance.now();
    const [before, after] = await cycle(kind, TIMES[kind], join(folder, kind));
    console.log(
      JSON.stringify({ kind, times: TIMES[kind], seconds: (performance.now() - begin) / 1000, before, after }),
    );
    expect(after.descriptors).toBe(before.descriptors);
    expect(after.inotifyWatches).toBe(before.inotifyWatches);
    expect(after.intervals).toBe(before.intervals);
    expect(after.exitListeners).toBe(before.exitListeners);
    expect(after.heapMb - before.heapMb).toBeLessThan(HEAP_MB);
    expect(after.residentMb - before.residentMb).toBeLessThan(RESIDENT_MB);
  },
);
