import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { lodestub, temporaryFolder } from './process.js';

const folder = temporaryFolder();
const root = new URL('../../', import.meta.url).pathname;

const OPTIONS: Readonly<Record<string, readonly string[]>> = {
  run: ['--seed', '--module', '--port', '--link', '--baud', '--pace', '--for', '--journal', '--at', '--track'],
  write: ['--out', '--seed', '--module', '--for', '--journal'],
  list: ['--json'],
  check: [],
  schema: [],
};

describe('help', () => {
  for (const [command, options] of Object.entries(OPTIONS)) {
    it.concurrent(`${command} --help names every option, and nothing goes to standard error`, async () => {
      const { code, stdout, stderr } = await lodestub([command, '--help']);
      expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
      for (const option of options) expect(stdout).toMatch(new RegExp(`^  ${option}\\b`, 'm'));
    });
  }

  it.concurrent('--help lists the commands and carries the caution; --version is that of the package', async () => {
    const [help, version] = await Promise.all([lodestub(['--help']), lodestub(['--version'])]);
    expect(help.code).toBe(0);
    for (const command of Object.keys(OPTIONS)) expect(help.stdout).toMatch(new RegExp(`^  ${command}\\b`, 'm'));
    expect(help.stdout.replace(/\s+/g, ' ')).toContain('must never feed live navigation');
    const { version: expected } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
    expect(version).toMatchObject({ code: 0, stdout: `${expected}\n`, stderr: '' });
  });
});

interface Row {
  readonly name: string;
  readonly title: string;
  readonly stage?: string;
  readonly settings?: object;
  readonly file?: string;
}

async function rows(what: string): Promise<Row[]> {
  const { code, stdout, stderr } = await lodestub(['list', what, '--json']);
  expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
  return JSON.parse(Buffer.from(stdout, 'latin1').toString('utf8')) as Row[];
}

const yamlNames = (path: string) =>
  readdirSync(join(root, path))
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => name.replace('.yaml', ''))
    .sort();

describe('list', () => {
  it.concurrent('scenarios: every shipped one with its title, and check accepts each', async () => {
    const scenarios = await rows('scenarios');
    expect(scenarios.map(({ name }) => name).sort()).toEqual(yamlNames('scenarios'));
    for (const { name, title } of scenarios) {
      const raw = parse(readFileSync(join(root, 'scenarios', `${name}.yaml`), 'utf8')) as { title: string };
      expect(title).toBe(raw.title);
      const { code, stdout } = await lodestub(['check', name]);
      expect(code).toBe(0);
      expect(stdout).toContain(title);
    }
  });

  it.concurrent('modules: every shipped one, and run takes each', async () => {
    const modules = await rows('modules');
    expect(modules.map(({ name }) => name).sort()).toEqual(yamlNames('scenarios/modules'));
    for (const { name } of modules) {
      const args = ['run', 'bench', '--module', name, '--port', 'stdout', '--for', '4 s', '--pace', '100'];
      const { code, stdout } = await lodestub(args);
      expect(code).toBe(0);
      expect(stdout).toMatch(/\$G[PN]RMC/);
    }
  });

  it.concurrent('faults: with stage, settings and a file that is there', async () => {
    const faults = await rows('faults');
    expect(faults.map(({ name }) => `${name}.ts`).sort()).toEqual(readdirSync(join(root, 'src/faults/kinds')).sort());
    for (const { title, stage, settings, file } of faults) {
      expect(title.length).toBeGreaterThan(10);
      expect(['signal', 'receiver', 'sentence', 'byte', 'port']).toContain(stage);
      expect(settings).toBeTypeOf('object');
      expect(readFileSync(join(root, file as string), 'utf8')).toContain('defineFault');
    }
  });

  it.concurrent('without --json: a line each, name first', async () => {
    const [printed, faults] = await Promise.all([lodestub(['list', 'faults']), rows('faults')]);
    const stdout = Buffer.from(printed.stdout, 'latin1').toString('utf8');
    expect(stdout.trimEnd().split('\n')).toHaveLength(faults.length);
    for (const { name, title } of faults) expect(stdout).toMatch(new RegExp(`^${name} +${title.slice(0, 10)}`, 'm'));
  });
});

it.concurrent('check tells what the run will do: length, module, what happens and when', async () => {
  const { stdout } = await lodestub(['check', 'harbour-pilot']);
  for (const part of ['single-band-9600', 'tunnel', 'bad-checksum', 'silence']) expect(stdout).toContain(part);
});

it.concurrent('schema: a JSON Schema of scenarios and of modules that knows their keys', async () => {
  const [scenario, module] = await Promise.all([lodestub(['schema']), lodestub(['schema', 'module'])]);
  const keys = ({ stdout }: { stdout: string }) =>
    Object.keys((JSON.parse(stdout) as { properties: Record<string, unknown> }).properties);
  expect(keys(scenario)).toEqual(expect.arrayContaining(['lodestub', 'route', 'timeline', 'sky', 'receiver']));
  expect(keys(module)).toEqual(expect.arrayContaining(['lodestub-module', 'baud', 'sentences']));
});

it.concurrent('write: the same bytes and journal twice, another seed other bytes, --for cuts the same stream', async () => {
  const write = async (name: string, ...more: string[]) => {
    const [out, journal] = [join(folder, `${name}.nmea`), join(folder, `${name}.jsonl`)];
    const ended = await lodestub(['write', 'harbour-pilot', '--out', out, '--journal', journal, ...more]);
    expect(ended, ended.stderr).toMatchObject({ code: 0, stdout: '' });
    return { stream: readFileSync(out, 'latin1'), journal: readFileSync(journal, 'utf8') };
  };
  const [one, two, seeded, short] = await Promise.all([
    write('one'),
    write('two'),
    write('seeded', '--seed', '3'),
    write('short', '--for', '5 min'),
  ]);
  expect(two.stream === one.stream && two.journal === one.journal).toBe(true);
  expect(seeded.stream === one.stream).toBe(false);
  expect(short.stream.length).toBeGreaterThan(10_000);
  expect(one.stream.startsWith(short.stream)).toBe(true);
});
