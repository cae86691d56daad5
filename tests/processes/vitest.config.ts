import { defineConfig } from 'vitest/config';
import { PROCESS_TESTS } from './process-tests.js';

/** What plays in real time, to programs in processes of their own. */
export default defineConfig({
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: [...PROCESS_TESTS],
    testTimeout: 60_000,
    setupFiles: ['tests/draw.ts'],
    // Time goes on whatever else the machine does: who was late is tried once more, and told of.
    retry: 1,
    maxWorkers: 2,
    isolate: false,
  },
});
