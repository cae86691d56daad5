import { join } from 'node:path';
import { expect, it } from 'vitest';
import { temporaryFolder } from '../../cli/process.js';
import { cycle } from './cycles.js';

const folder = temporaryFolder();
/** Some hundreds; `tests/soak/` has the thousands. */
const TIMES = 400;
/** The heap's own unrest between two collections, in a process with other tests, MB: a leak of 5 kB a time is more. */
const HEAP_MB = 2;

it.each(['pty', 'tcp'] as const)(`a %s port that has gone and come back ${TIMES} times holds no more`, async (kind) => {
  const [before, after] = await cycle(kind, TIMES, join(folder, kind));
  const count = ({ descriptors, inotifyWatches, intervals, exitListeners }: typeof before) => {
    return { descriptors, inotifyWatches, intervals, exitListeners };
  };
  expect(count(after)).toEqual(count(before));
  expect(after.heapMb - before.heapMb).toBeLessThan(HEAP_MB);
});
