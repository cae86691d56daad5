import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { readJournal } from '../cli/journal.js';
import { Lodestub, lodestub, SerialHost, temporaryFolder, until } from '../cli/process.js';
import { epochText, latin1 } from '../replay/helper.js';

const folder = temporaryFolder();
const AIRBORNE = new URL('../../../shared/data/logs/two-system-airborne.nmea.gz', import.meta.url).pathname;

/** A host reads so long after the last byte at the latest, on a loaded machine, s. */
const LATE_S = 1;

/** Plays a log to a host over serialport, in a process each. @returns what the host read, a character a byte */
async function readBy(
  log: string,
  args: readonly string[],
): Promise<{ bytes: string; arrivals: number[]; startedMs: number }> {
  const run = new Lodestub(['replay', log, '--no-control', ...args], { cwd: folder });
  const { port, startedMs } = await run.begun();
  const host = new SerialHost(port, 115_200);
  await host.ready();
  const { code, stderr } = await run.ended;
  expect(code, stderr).toBe(0);
  await until(() => host.child.exitCode !== null || host.child.signalCode !== null, 'the host to end');
  return { bytes: host.bytes(), arrivals: host.arrivals().map(({ atMs }) => atMs), startedMs };
}

describe.concurrent('a recording on a pty, read by a host in another process', () => {
  it('gives the host what a receiver’s file has, and the journal accounts for it', async () => {
    // Binary, damaged and odd parts too; the host may open late, so that the first two seconds are for that.
    const seconds = Array.from({ length: 9 }, (_, second) => epochText(`12000${second}.00`));
    seconds.splice(3, 0, '\x00\xff\x80$GPGGA,cut');
    seconds[5] = (seconds[5] as string).replaceAll('\r\n', '\n');
    const log = seconds.join('');
    writeFileSync(join(folder, 'field.nmea'), latin1(log));
    const { bytes, arrivals, startedMs } = await readBy('field.nmea', ['--baud', '115200', '--journal', 'field.jsonl']);
    expect(bytes.length).toBeGreaterThan(log.length / 2);
    expect(log.endsWith(bytes)).toBe(true);
    const last = readJournal(join(folder, 'field.jsonl')).findLast(({ type }) => type === 'sentence');
    const lateMs = (arrivals.at(-1) as number) - startedMs - (last?.endMs ?? 0);
    expect(lateMs).toBeGreaterThanOrEqual(0);
    expect(lateMs).toBeLessThan(1000 * LATE_S);
    writeFileSync(join(folder, 'read.bin'), latin1(bytes));
    const proof = await lodestub(['prove', 'field.jsonl', 'read.bin', '--captured'], { cwd: folder });
    expect(proof.code, proof.stdout).toBe(0);
  });

  it.skipIf(!existsSync(AIRBORNE))(
    'a packed log of a receiver at a hundred times its pace (needs the file)',
    async () => {
      const log = gunzipSync(readFileSync(AIRBORNE)).toString('latin1');
      const { bytes } = await readBy(AIRBORNE, ['--baud', '115200', '--pace', '100', '--for', '400 s']);
      // 400 epochs; the host may open late.
      const played = log
        .split(/(?=\$GPGSV,\d,1,)/)
        .slice(0, 400)
        .join('');
      expect(bytes.length).toBeGreaterThan(played.length / 2);
      expect(played.endsWith(bytes)).toBe(true);
    },
  );
});
