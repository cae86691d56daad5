import { join } from 'node:path';
import { expect, it } from 'vitest';
import { Lodestub, temporaryFolder } from '../cli/process.js';
import { watchMemory } from './memory-watch.js';

const folder = temporaryFolder();
const DAYS = 30;

/** What a run may take at most, MB. */
const RESIDENT_MB = 150;
/** What resident memory may wander by between two looks, MB: the garbage collector's freedom. */
const WANDER_MB = 20;

it.skipIf(process.platform !== 'linux')(`${DAYS} days flat out: memory is small and flat`, async () => {
  const out = join(folder, 'month.nmea');
  const write = new Lodestub(['write', 'bench', '--for', `${DAYS} d`, '--out', out]);
  const { peakMb, around } = await watchMemory(write, out);
  const { code, stderr } = await write.ended;
  expect(code, stderr).toBe(0);
  const figures = { peakMb, day5Mb: around(5 / DAYS), day30Mb: around(1) };
  console.log(JSON.stringify(figures));
  expect(figures.peakMb).toBeLessThan(RESIDENT_MB);
  expect(Math.abs(figures.day30Mb - figures.day5Mb)).toBeLessThan(WANDER_MB);
});
