import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { writeCommand } from '../../src/cli/write-command.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { checkRinex, RinexFiles, rinexPaths } from '../../src/run/rinex.js';
import { readScenario } from '../../src/scenario/read.js';
import { readNavigation, readObservation } from './rinex-reader.js';

const SCENARIO = `
lodestub: 1
seed: 3
start: 2026-02-02T09:30:00Z
duration: 20 s
module: single-band-9600
receiver: { start: hot }
route:
  - { hold: 20 s, at: [63.4305, 10.3951, 12 m] }
`;
const NOW = { year: 2026, month: 2, day: 2, hour: 9, minute: 30, second: 0 };

/** The receiver's clock stays within half a millisecond of GPS time. */
const RECEIVER_CLOCK_S = 0.0005;

let parent = '';
beforeEach(() => {
  parent = mkdtempSync(join(tmpdir(), 'lodestub-rinex-'));
});
afterEach(() => rmSync(parent, { recursive: true }));

async function write(folder: string, more = '', force = false): Promise<readonly [string, string]> {
  const scenario = await readScenario(SCENARIO + more, { file: 'it.yaml', baseFolder: '.' });
  let files: RinexFiles | null = null;
  const run = new ModuleRun(scenario, {
    now: NOW,
    send: () => {},
    withObservations: true,
    onStep: ({ epoch }) => files?.add(epoch),
  });
  const paths = rinexPaths(folder, scenario, run);
  checkRinex(folder, paths, force, []);
  files = new RinexFiles(folder, paths, force, scenario, run);
  run.advanceTo(run.epochCount === Infinity ? 5000 : Infinity);
  files.close();
  return paths;
}

function codeOf(action: () => unknown): string {
  try {
    action();
  } catch (error) {
    if (error instanceof LodestubError) return error.code;
    throw error;
  }
  return 'none';
}

describe('RINEX files of a run', () => {
  it('stand in a folder that is made, named after the run, and hold its epochs', async () => {
    const folder = join(parent, 'deep', 'er');
    const [observation, navigation] = await write(folder);
    expect(readdirSync(folder).sort()).toEqual([basename(navigation), basename(observation)].sort());
    expect(basename(observation)).toBe('LODE00XXX_U_20260330930_01M_01S_MO.rnx');
    const read = readObservation(readFileSync(observation, 'latin1'));
    // Hot: a few seconds pass until signals are found and their bits known.
    expect(read.epochs.length).toBeGreaterThan(10);
    expect(read.epochs.length).toBeLessThanOrEqual(20);
    expect(readNavigation(readFileSync(navigation, 'latin1')).records.length).toBeGreaterThan(24);
  });

  it('come out the same again, and replace those of an earlier run', async () => {
    const [observation, navigation] = await write(parent);
    const before = [observation, navigation].map((path) => readFileSync(path, 'latin1'));
    await write(parent);
    expect([observation, navigation].map((path) => readFileSync(path, 'latin1'))).toEqual(before);
  });

  it('leave others’ files alone, unless forced', async () => {
    const [observation] = await write(parent);
    writeFileSync(observation, 'somebody’s own\n');
    await expect(write(parent)).rejects.toMatchObject({ code: 'out.exists' });
    expect(readFileSync(observation, 'utf8')).toBe('somebody’s own\n');
    await write(parent, '', true);
    expect(readFileSync(observation, 'utf8')).toContain('RINEX VERSION / TYPE');
  });

  it('of a run without end hold what it came to', async () => {
    const endless = SCENARIO.replace('duration: 20 s', 'duration: 300 d');
    const scenario = await readScenario(endless, { file: 'it.yaml', baseFolder: '.' });
    const run = new ModuleRun(scenario, { now: NOW, send: () => {} });
    const paths = rinexPaths(parent, scenario, { ...run, epochCount: Infinity, epochsDone: 0, sky: run.sky });
    expect(basename(paths[0])).toContain('_00U_01S_MO');
  });
});

describe('lodestub write --rinex', () => {
  it('writes them beside the stream, which stays the same to the byte', async () => {
    const scenario = join(parent, 'it.yaml');
    writeFileSync(scenario, SCENARIO);
    const [plain, beside, folder] = [join(parent, 'plain.nmea'), join(parent, 'beside.nmea'), join(parent, 'rinex')];
    expect(await writeCommand(scenario, { out: plain })).toBe(0);
    expect(await writeCommand(scenario, { out: beside, rinex: folder, for: 15 })).toBe(0);
    const short = readFileSync(beside, 'latin1');
    expect(short.length).toBeGreaterThan(0);
    expect(readFileSync(plain, 'latin1').startsWith(short)).toBe(true);
    const observation = readdirSync(folder).find((name) => name.endsWith('_MO.rnx')) as string;
    const { epochs } = readObservation(readFileSync(join(folder, observation), 'latin1'));
    expect(epochs.at(-1)?.date).toEqual([2026, 2, 2, 9, 30]);
    expect(Math.abs((epochs.at(-1)?.second as number) - (18 + 14))).toBeLessThan(RECEIVER_CLOCK_S);
  });

  it('refuses before the stream’s file is touched', async () => {
    const scenario = join(parent, 'it.yaml');
    writeFileSync(scenario, SCENARIO);
    const out = join(parent, 'out.nmea');
    await expect(writeCommand(scenario, { out, rinex: scenario })).rejects.toMatchObject({
      code: 'out.missing-folder',
    });
    expect(existsSync(out)).toBe(false);
  });
});

describe('what is refused before anything is touched', () => {
  it('a file in the folder’s place, or on the way to it', () => {
    const file = join(parent, 'file');
    writeFileSync(file, 'x');
    expect(codeOf(() => checkRinex(file, [], false, []))).toBe('out.missing-folder');
    expect(codeOf(() => checkRinex(join(file, 'in'), [], false, []))).toBe('out.missing-folder');
    expect(readFileSync(file, 'utf8')).toBe('x');
  });

  it('a folder without a name, and one where nothing can be made', () => {
    expect(codeOf(() => checkRinex('', [], false, []))).toBe('out.missing-folder');
    expect(codeOf(() => checkRinex('/proc/none/here', [], false, []))).toMatch(/^out\.(failed|denied)$/);
  });

  it.skipIf(process.getuid?.() === 0)('a folder that may not be written to [skipped for root, who may]', () => {
    const closed = join(parent, 'closed');
    mkdirSync(closed);
    chmodSync(closed, 0o500);
    expect(codeOf(() => checkRinex(join(closed, 'in'), [], false, []))).toBe('out.denied');
    expect(codeOf(() => checkRinex(closed, [join(closed, 'a')], false, []))).toBe('out.denied');
  });

  it('one file for two outputs', () => {
    const path = join(parent, 'a.rnx');
    expect(codeOf(() => checkRinex(parent, [path], false, [undefined, path]))).toBe('command.conflict');
    expect(existsSync(path)).toBe(false);
  });

  it('nothing, where the folder is there or can be made; and nothing is left behind', () => {
    checkRinex(parent, [join(parent, 'a.rnx')], false, ['elsewhere', undefined]);
    checkRinex(join(parent, 'new', 'er'), [join(parent, 'new', 'er', 'a.rnx')], false, []);
    expect(readdirSync(parent)).toEqual([]);
  });
});
