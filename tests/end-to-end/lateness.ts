import { execFileSync, spawnSync } from 'node:child_process';
import { setPriority } from 'node:os';
import { join } from 'node:path';
import { readJournal, sentBytes } from '../cli/journal.js';
import { type Arrival, Lodestub, parseArrivals, Running, SerialHost, until } from '../cli/process.js';

/**
 * Whether the host that stamps arrivals to the microsecond can be built; else one over serialport stands in, to the ms.
 */
export const hasGcc = spawnSync('gcc', ['--version']).status === 0;

const BITS_PER_BYTE = 10;

/** One byte on its way. */
export interface ByteTiming {
  /** When its stop bit ended, ms after tick 0. */
  readonly dueMs: number;
  /** How long after that the host had read it, ms; up to 1 too much, since `started:` is rounded down to the ms. */
  readonly lateMs: number;
}

/**
 * Runs a scenario on a pty at its own speed, with a host in another process, and tells for each byte that the host read
 * how late it was against the journal.
 */
export async function measureLateness(folder: string, args: readonly string[], baud: number): Promise<ByteTiming[]> {
  const journal = join(folder, 'lateness.jsonl');
  const program = join(folder, 'stamp-port');
  const source = new URL('stamp-port.c', import.meta.url).pathname;
  if (hasGcc) execFileSync('gcc', ['-O1', '-Wall', '-o', program, source]);
  const run = new Lodestub(['run', ...args, '--journal', journal]);
  putAhead(run);
  const { port, startedMs } = await run.begun();
  const host = hasGcc ? new Running(program, [port, String(baud)]) : new SerialHost(port, baud);
  putAhead(host);
  await until(() => host.stdout.startsWith('ready\n'), 'the host');
  const { code, stderr } = await run.ended;
  if (code !== 0) throw new Error(stderr);
  return timings(journal, parseArrivals((await host.ended).stdout), startedMs, baud);
}

/** Where that is allowed, puts a process ahead of what else the machine does: its lateness is not what is measured. */
function putAhead({ child }: Running): void {
  try {
    setPriority(child.pid as number, -15);
  } catch {
    // Not allowed: on a loaded machine the test may then have to be run again.
  }
}

function timings(journal: string, arrivals: readonly Arrival[], startedMs: number, baud: number): ByteTiming[] {
  const byteMs = (1000 * BITS_PER_BYTE) / baud;
  let sent = '';
  const dueMs: number[] = [];
  for (const record of readJournal(journal)) {
    const bytes = sentBytes(record);
    if (bytes === null) continue;
    sent += bytes;
    for (let i = 1; i <= bytes.length; i++) dueMs.push((record.startMs as number) + i * byteMs);
  }
  const got = arrivals.map(({ bytes }) => bytes).join('');
  if (!sent.endsWith(got)) throw new Error('the host read other bytes than the journal has');
  let at = sent.length - got.length;
  return arrivals.flatMap(({ atMs, bytes }) =>
    Array.from(bytes, () => {
      const due = dueMs[at++] as number;
      return { dueMs: due, lateMs: atMs - startedMs - due };
    }),
  );
}

/** The value below which a share of the values lies. @param share 0 to 1 */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] as number;
}
