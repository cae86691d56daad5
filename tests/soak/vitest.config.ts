import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/soak/**/*.test.ts'],
    // One at a time: what is measured is time and memory.
    fileParallelism: false,
    testTimeout: 24 * 3_600_000,
  },
});
