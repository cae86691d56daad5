import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { lodestub, Running, temporaryFolder } from './process.js';

const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const folder = temporaryFolder();
const hasScript = /util-linux/.test(String(spawnSync('script', ['--version']).stdout));
const ESCAPE = '\x1b';

/** Runs `lodestub` in a terminal of 200 columns. */
function inTerminal(...args: string[]) {
  const command = ['stty cols 200;', `'${process.execPath}'`, `'${BIN}'`, ...args.map((arg) => `'${arg}'`)].join(' ');
  const options = ['--quiet', '--return', '--command', command, '/dev/null'];
  return new Running('script', options, { cwd: folder, env: { TERM: 'xterm', FORCE_COLOR: '1' } }).ended;
}

describe.skipIf(!hasScript)('in a terminal (needs script of util-linux)', () => {
  it.concurrent('run shows one live line: simulated, time, state, satellites, position, load', async () => {
    const { code, stdout } = await inTerminal('run', 'drive', '--for', '12 s', '--pace', '6');
    expect(code).toBe(0);
    const drawn = stdout.split(`\r${ESCAPE}[2K`).slice(1);
    expect(drawn.length).toBeGreaterThan(3);
    const last = drawn.at(-1) as string;
    expect(last).toContain('SIMULATED 00:00:1');
    expect(last).toMatch(
      /3d fix \| used \d+ of \d+ \| 46\.\d+, 8\.\d+ \| line \d+ % \| C\/N0 mean\/best \d+\/\d+ dB-Hz \| \d+ B/,
    );
    expect(last).toMatch(/line \d+ %/);
    // One line: nothing but the last drawing ends it.
    for (const line of drawn.slice(0, -1)) expect(line).not.toContain('\n');
  });

  it.concurrent('write shows progress with the time left', async () => {
    const { code, stdout } = await inTerminal('write', 'bench', '--for', '1 d', '--out', join(folder, 'bar.nmea'));
    expect(code).toBe(0);
    expect(stdout).toMatch(/\d+ %\s+\d+ of 86400 epochs\s+\S+ left/);
  });
});

describe('without a terminal nothing is drawn', () => {
  it.concurrent('run and write: standard error has the caution alone, two lines', async () => {
    const [run, write] = await Promise.all([
      lodestub(['run', 'drive', '--for', '4 s', '--pace', '4']),
      lodestub(['write', 'bench', '--out', join(folder, 'quiet.nmea')]),
    ]);
    for (const { code, stderr } of [run, write]) {
      expect(code).toBe(0);
      expect(stderr).toMatch(/^SIMULATED DATA.+\n.+\n$/);
      expect(stderr).not.toContain('\r');
      expect(stderr).not.toContain(ESCAPE);
    }
    expect(write.stdout).toBe('');
  });
});
