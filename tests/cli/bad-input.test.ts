import { copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type Ended, lodestub, lodestubHere, temporaryFolder } from './process.js';

const ALMANAC = new URL('../../../shared/data/almanac/yuma-week2197.txt', import.meta.url).pathname;
const hasAlmanac = existsSync(ALMANAC);

const folder = temporaryFolder();
const HOLD = 'route:\n  - { hold: 60 s, at: [52, 9] }\n';
const FILES: Readonly<Record<string, string>> = {
  'malformed.yaml': 'lodestub: 1\nroute:\n  - { hold: 60 s, at: [52, 9 }\n',
  'unknown-key.yaml': `lodestub: 1\nreciever: {}\n${HOLD}`,
  'no-place.yaml': 'lodestub: 1\nroute:\n  - { hold: 60 s }\n',
  'no-leg.yaml': `lodestub: 1\n${HOLD}  - { go: [[52, 9]], speed: 5 kn }\n`,
  'fault.yaml': `lodestub: 1\n${HOLD}timeline:\n  - { at: 1 s, fault: silense }\n`,
  'module.yaml': `lodestub: 1\nmodule: single-band-960\n${HOLD}`,
  'old.yaml': `lodestub: 1\nstart: 2024-01-01T00:00:00Z\nsky: { almanac: ./almanac.txt }\n${HOLD}`,
  'no-almanac.yaml': `lodestub: 1\nsky: { almanac: ./nowhere.txt }\n${HOLD}`,
  'broken.gpx': '<gpx><trk><trkseg><trkpt lat="1" lon="2">',
  'track.yaml': 'lodestub: 1\nroute:\n  - { track: ./broken.gpx }\n',
  'mine.txt': 'mine\n',
  'earlier.jsonl': '{"type":"run","format":1,"version":"0.1.0"}\n',
};
for (const [name, text] of Object.entries(FILES)) writeFileSync(join(folder, name), text);
if (hasAlmanac) copyFileSync(ALMANAC, join(folder, 'almanac.txt'));
mkdirSync(join(folder, 'a-folder'));
const before = readdirSync(folder).sort();

/** One message as the template has it, `code: path: what. The way out.`, as the last line; no trace of a stack. */
function expectMessage({ stderr }: Ended, code: string): void {
  const lines = stderr.trimEnd().split('\n');
  expect(lines.at(-1)).toMatch(/^[a-z-]+\.[a-z-]+: .+[.:] .*\.$/);
  expect(lines.at(-1)?.split(': ')[0]).toBe(code);
  expect(lines.filter((line) => /^\s+at /.test(line))).toEqual([]);
}

/** Bad input: name, code of the error, part of the message, arguments. */
const REFUSED: readonly (readonly [what: string, code: string, says: string, args: readonly string[]])[] = [
  ['a scenario that is not there', 'scenario.missing', 'missing.yaml', ['run', 'missing.yaml']],
  ['a scenario name that is not known', 'scenario.missing', 'harbour-pilot', ['run', 'harbor-pilot']],
  ['malformed YAML', 'scenario.syntax', 'malformed.yaml, line 3', ['run', 'malformed.yaml']],
  ['an unknown key', 'scenario.unknown-key', 'Did you mean receiver?', ['run', 'unknown-key.yaml']],
  ['a route without a place', 'route.no-place', 'line 3', ['run', 'no-place.yaml']],
  ['a leg that leads nowhere', 'route.zero-leg', 'no-leg.yaml, line 4', ['check', 'no-leg.yaml']],
  ['an unknown fault', 'scenario.unknown-word', 'Did you mean silence?', ['run', 'fault.yaml']],
  ['an unknown module', 'module.unknown-name', 'Did you mean single-band-9600?', ['run', 'module.yaml']],
  ['an unknown --module', 'module.unknown-name', 'older-4800', ['write', 'bench', '--module', 'nope', '--out', 'new']],
  ['a module file that is not there', 'module.missing', 'nope.yaml', ['run', '--module', './nope.yaml']],
  ['an almanac that is not there', 'scenario.missing', 'nowhere.txt', ['check', 'no-almanac.yaml']],
  ['a broken track in a scenario', 'track.xml', 'broken.gpx', ['run', 'track.yaml']],
  ['a broken --track', 'track.xml', 'broken.gpx', ['run', '--track', 'broken.gpx']],
  ['a --track that is not there', 'track.missing', 'nope.gpx', ['run', '--track', 'nope.gpx']],
  ['a place off the map', 'place.range', '--at', ['run', '--at', '95, 10']],
  ['a place that is none', 'place.format', '--at', ['run', '--at', 'Bergen']],
  ['a scenario and a place', 'command.conflict', '--at', ['run', 'bench', '--at', '1, 2']],
  ['a port that is none', 'port.spec', 'tcp:[HOST:]PORT', ['run', '--port', 'tcp:abc']],
  ['a device that is not there', 'port.missing', '/dev/ttyNONE7', ['run', '--port', '/dev/ttyNONE7']],
  ['a link where a file is', 'link.taken', 'mine.txt', ['run', '--link', 'mine.txt']],
  ['a link where a folder is', 'link.taken', 'a-folder', ['run', '--link', 'a-folder']],
  ['a link in a missing folder', 'link.failed', 'nowhere/link', ['run', '--link', 'nowhere/link']],
  ['a link to no pty', 'command.conflict', '--link', ['run', '--link', 'link', '--port', 'stdout']],
  ['--out that is not ours', 'out.exists', 'mine.txt', ['write', 'bench', '--out', 'mine.txt']],
  ['--out in a missing folder', 'out.missing-folder', 'nowhere', ['write', 'bench', '--out', 'nowhere/new']],
  ['--out that is a folder', 'out.directory', 'a-folder', ['write', 'bench', '--out', 'a-folder']],
  [
    '--rinex where a file is',
    'out.missing-folder',
    'mine.txt',
    ['write', 'bench', '--out', 'new', '--rinex', 'mine.txt'],
  ],
  ['file: that is not ours', 'out.exists', 'mine.txt', ['run', '--port', 'file:mine.txt']],
  ['a journal that is not ours', 'out.exists', 'mine.txt', ['write', 'bench', '--out', 'new', '--journal', 'mine.txt']],
  ['a journal in a missing folder', 'out.missing-folder', 'nowhere', ['run', '--journal', 'nowhere/new']],
  [
    'a journal where the stream goes',
    'command.conflict',
    '--journal',
    ['write', 'bench', '--out', 'x', '--journal', 'x'],
  ],
  [
    'an earlier journal, and no port',
    'port.missing',
    'ttyNONE7',
    ['run', '--port', '/dev/ttyNONE7', '--journal', 'earlier.jsonl'],
  ],
  ['a list that there is not', 'command.unknown-word', 'Did you mean faults?', ['list', 'fault']],
  ['a schema that there is not', 'command.unknown-word', 'scenario', ['schema', 'x']],
];

describe('bad input: code 2, one message with the way out, nothing printed, no file touched', () => {
  for (const [what, code, says, args] of REFUSED) {
    it(what, async () => {
      const ended = await lodestubHere(args, folder);
      expect(ended, ended.stderr).toMatchObject({ code: 2, stdout: '' });
      expectMessage(ended, code);
      expect(ended.stderr).toContain(says);
    });
  }

  it.concurrent('as a process: the code is its exit code', async () => {
    const ended = await lodestub(['run', 'unknown-key.yaml'], { cwd: folder });
    expect(ended, ended.stderr).toMatchObject({ code: 2, stdout: '' });
    expectMessage(ended, 'scenario.unknown-key');
  });

  it.skipIf(!hasAlmanac)(
    'an almanac too old for the start (needs the US Coast Guard almanac file)',
    { concurrent: true },
    async () => {
      const ended = await lodestub(['run', 'old.yaml'], { cwd: folder });
      expect(ended).toMatchObject({ code: 2, stdout: '' });
      expectMessage(ended, 'almanac.age');
      expect(ended.stderr).toContain('sky.shift');
    },
  );

  it.concurrent('a TCP port that is taken', async () => {
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const { port } = server.address() as { port: number };
    const ended = await lodestub(['run', '--port', `tcp:${port}`], { cwd: folder });
    server.close();
    expect(ended).toMatchObject({ code: 2, stdout: '' });
    expectMessage(ended, 'port.busy');
  });

  const USAGE: readonly (readonly [says: string, args: readonly string[]])[] = [
    ['unknown command', ['frobnicate']],
    ['Did you mean list?', ['lst']],
    ['Did you mean --journal?', ['run', '--jurnal', 'x']],
    ['expected a duration', ['run', '--for', 'x']],
    ['more than 0 s', ['run', '--for', '0 s']],
    ['up to 366 d', ['run', '--for', '1e308 s']],
    ['up to 366 d', ['write', 'bench', '--out', 'new', '--for', '367 d']],
    ['0 to 4294967295', ['run', '--seed', '-3']],
    ['0 to 4294967295', ['write', 'bench', '--out', 'new', '--seed', '4294967296']],
    ['0.01 to 1000', ['run', '--pace', '0']],
    ['50 to 10000000 baud', ['run', '--baud', '9k6']],
    ['--out', ['write', 'bench']],
    ['SCENARIO', ['check']],
    ['Usage: lodestub', []],
  ];
  for (const [says, args] of USAGE) {
    it(`lodestub ${args.join(' ')}: says "${says}"`, async () => {
      const ended = await lodestubHere(args, folder);
      expect(ended, ended.stderr).toMatchObject({ code: 2, stdout: '' });
      expect(ended.stderr).toContain(says);
      expect(ended.stderr).not.toMatch(/^\s+at /m);
      if (args.length > 0) expect(ended.stderr).toMatch(/^command\.usage: .*[^.][.?]\n$/);
    });
  }
});

it('list errors explains every one of these codes', async () => {
  const { stdout } = await lodestub(['list', 'errors', '--json']);
  const known = (JSON.parse(stdout) as { name: string }[]).map(({ name }) => name);
  const used = [
    ...REFUSED.map(([, code]) => code),
    'almanac.age',
    'port.busy',
    'out.full',
    'stdout.closed',
    'pty.missing',
  ];
  expect(used.filter((code) => !known.includes(code))).toEqual([]);
});

it('after all that the folder is as it was', () => {
  expect(readdirSync(folder).sort()).toEqual(before);
  for (const [name, text] of Object.entries(FILES)) expect(readFileSync(join(folder, name), 'utf8')).toBe(text);
});
