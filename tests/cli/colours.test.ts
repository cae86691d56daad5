import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { coloursFor } from '../../src/cli/colours.js';
import { lodestub, temporaryFolder } from './process.js';

const folder = temporaryFolder();
const TERMINAL = { isTTY: true };
const FILE = { isTTY: false };

describe('colours', () => {
  it.each<[string, { isTTY: boolean }, NodeJS.ProcessEnv, boolean]>([
    ['a terminal', TERMINAL, { TERM: 'xterm' }, true],
    ['a terminal that can show none', TERMINAL, { TERM: 'dumb' }, false],
    ['a terminal, and NO_COLOR', TERMINAL, { TERM: 'xterm', NO_COLOR: '1' }, false],
    ['a terminal, and an empty NO_COLOR, which asks for nothing', TERMINAL, { TERM: 'xterm', NO_COLOR: '' }, true],
    ['a file', FILE, {}, false],
    ['a file of a CI', FILE, { CI: 'true' }, false],
    ['a file, and FORCE_COLOR', FILE, { FORCE_COLOR: '1' }, true],
    ['a file, and FORCE_COLOR=0', FILE, { FORCE_COLOR: '0' }, false],
    ['a file, and both: none wins', FILE, { FORCE_COLOR: '1', NO_COLOR: '1' }, false],
  ])('%s', (_what, stream, env, isColoured) => {
    expect(coloursFor(stream, env).isColorSupported).toBe(isColoured);
    expect(coloursFor(stream, env).red('bad')).toBe(isColoured ? '\x1b[31mbad\x1b[39m' : 'bad');
  });

  it('a report in a log of a CI has none', async () => {
    const log = join(folder, 'a.nmea');
    await lodestub(['write', 'old-town', '--for', '20s', '--out', log], { cwd: folder });
    const plain = await lodestub(['inspect', log], { cwd: folder, env: { CI: 'true' } });
    expect(plain.stdout).toMatch(/^verdict: \w+ \(/m);
    expect(plain.stdout).not.toContain('\x1b');
    const coloured = await lodestub(['inspect', log], { cwd: folder, env: { FORCE_COLOR: '1' } });
    // biome-ignore lint/suspicious/noControlCharactersInRegex: colours are what is looked for.
    expect(coloured.stdout).toMatch(/^verdict: \x1b\[3\dm\w+/m);
  });
});
