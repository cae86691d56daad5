import { existsSync, lstatSync, readFileSync } from 'node:fs';
import { type Lodestub, sleep } from '../cli/process.js';

/** What a process took while its output grew. */
export interface MemoryWatched {
  readonly peakMb: number;
  /** Mean resident memory while the output was about so much of its final size, MB. @param share 0 to 1 */
  around(share: number): number;
}

/** Samples belong to a share of the output that is no further off. */
const NEAR = 0.07;

function residentMb(pid: number): number {
  return Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024;
}

/** Watches a writing process to its end, by Linux's `/proc`. */
export async function watchMemory(write: Lodestub, out: string): Promise<MemoryWatched> {
  const samples: { bytes: number; mb: number }[] = [];
  let isOver = false;
  void write.ended.then(() => {
    isOver = true;
  });
  while (!isOver) {
    const pid = write.child.pid as number;
    if (existsSync(out) && existsSync(`/proc/${pid}/status`)) {
      const { size } = lstatSync(out);
      const mb = residentMb(pid);
      // Between its end and our hearing of it a process has no memory.
      if (size > 0 && mb > 0) samples.push({ bytes: size, mb });
    }
    await sleep(100);
  }
  const total = lstatSync(out).size;
  return {
    peakMb: Math.max(...samples.map(({ mb }) => mb)),
    around: (share) => {
      const near = samples.filter(({ bytes }) => Math.abs(bytes / total - share) < NEAR);
      return near.reduce((sum, { mb }) => sum + mb, 0) / near.length;
    },
  };
}
