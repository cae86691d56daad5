import { existsSync, lstatSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { Lodestub, sleep, temporaryFolder } from '../cli/process.js';

const folder = temporaryFolder();
const DAYS = 30;

/** What a run may take at most, MB. */
const RESIDENT_MB = 150;
/** What resident memory may wander by between two looks, MB: the garbage collector's freedom. */
const WANDER_MB = 20;

function residentMb(pid: number): number {
  return Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024;
}

it.skipIf(process.platform !== 'linux')(`${DAYS} days flat out: memory is small and flat`, async () => {
  const out = join(folder, 'month.nmea');
  const write = new Lodestub(['write', 'bench', '--for', `${DAYS} d`, '--out', out]);
  const samples: { bytes: number; mb: number }[] = [];
  let isOver = false;
  void write.ended.then(() => {
    isOver = true;
  });
  while (!isOver) {
    if (existsSync(out)) {
      const { size } = lstatSync(out);
      const pid = write.child.pid as number;
      if (size > 0 && existsSync(`/proc/${pid}/status`)) samples.push({ bytes: size, mb: residentMb(pid) });
    }
    await sleep(100);
  }
  const { code, stderr } = await write.ended;
  expect(code, stderr).toBe(0);
  const total = lstatSync(out).size;
  const around = (day: number) => {
    const near = samples
      .filter(({ bytes, mb }) => mb > 0 && Math.abs((bytes / total) * DAYS - day) < 2)
      .map(({ mb }) => mb);
    return near.reduce((sum, mb) => sum + mb, 0) / near.length;
  };
  const figures = { peakMb: Math.max(...samples.map(({ mb }) => mb)), day5Mb: around(5), day30Mb: around(DAYS) };
  console.log(JSON.stringify(figures));
  expect(figures.peakMb).toBeLessThan(RESIDENT_MB);
  expect(Math.abs(figures.day30Mb - figures.day5Mb)).toBeLessThan(WANDER_MB);
});
