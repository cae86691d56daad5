import { defineConfig } from 'vitest/config';
import { PROCESS_TESTS } from './processes/process-tests.js';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/soak/**', 'node_modules/**', ...PROCESS_TESTS],
    testTimeout: 60_000,
    setupFiles: ['tests/draw.ts'],
    maxWorkers: 2,
    // Loading the same files anew for each test file would take longer than the tests.
    isolate: false,
  },
});
