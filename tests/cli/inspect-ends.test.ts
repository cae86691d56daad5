import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadLinuxCalls } from '../../src/emit/ports/linux-calls.js';
import { openPtyPair } from '../../src/emit/ports/pty-pair.js';
import { Lodestub, lodestub, Running, sleep, temporaryFolder, until } from './process.js';

const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const folder = temporaryFolder();
const LOG = join(folder, 'log.nmea');

describe.skipIf(process.platform !== 'linux')('inspect', () => {
  it.each(['SIGINT', 'SIGTERM'] as const)(
    '%s ends the wait for more input: what has come is reported',
    async (name) => {
      await lodestub(['write', 'old-town', '--for', '5s', '--out', LOG, '--force']);
      const pipe = join(folder, `pipe-${name}`);
      execFileSync('mkfifo', [pipe]);
      const fd = openSync(pipe, constants.O_RDWR);
      const waiting = new Running('/bin/sh', ['-c', `exec "$0" "$1" inspect - < ${pipe}`, process.execPath, BIN]);
      writeSync(fd, execFileSync('head', ['-c', '4000', LOG]));
      // Nothing tells from outside that it has been read.
      await sleep(1500);
      expect(waiting.stdout).toBe('');
      waiting.signal(name);
      const { stdout } = await waiting.ended;
      closeSync(fd);
      expect(stdout).toMatch(/^standard input.*\n(.*\n)?verdict: /);
      expect(stdout).toMatch(/4000 bytes/);
    },
  );

  it('Ctrl-C ends the search for a speed, and says so', async () => {
    const calls = await loadLinuxCalls();
    let slaveFd = -1;
    const pair = await openPtyPair(({ slavePath }) => {
      slaveFd = openSync(slavePath, constants.O_RDWR | constants.O_NOCTTY);
      calls.setRaw(slaveFd, 9600);
    });
    const searching = new Lodestub(['inspect', pair.slavePath]);
    await until(
      () => searching.stderr.includes('trying 115200 baud'),
      () => searching.stderr,
    );
    searching.signal('SIGINT');
    const { code, stderr } = await searching.ended;
    pair.master.destroy();
    closeSync(slaveFd);
    expect(code).toBe(2);
    expect(stderr).toMatch(/inspect\.no-speed: .*none until it was stopped, 2 speeds tried/);
  });

  it('shows the report also where a file for it cannot be written', async () => {
    await lodestub(['write', 'old-town', '--for', '5s', '--out', LOG, '--force']);
    const { code, stdout, stderr } = await lodestub(['inspect', LOG, '--json', '/dev/full']);
    expect(stdout).toMatch(/^verdict: /m);
    expect(stderr).toMatch(/^out\.\S+: /m);
    expect(code).toBe(1);
  });
});
