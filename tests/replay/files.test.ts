import { mkdirSync, mkdtempSync, readdirSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, describe, expect, it, vi } from 'vitest';
import { RecordedGroups } from '../../src/replay/recorded-groups.js';
import { findRecording, type RecordingFile } from '../../src/replay/recording-file.js';
import { describeScenario } from '../../src/scenario/describe.js';
import { readScenario } from '../../src/scenario/read.js';
import type { Scenario } from '../../src/scenario/scenario.js';
import { epochText, latin1, playScenario, replay, scenarioOf, sentence } from './helper.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-recordings-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const LOG = ['120000.00', '120001.00', '120002.00'].map((time) => epochText(time)).join('');
const FILES: Readonly<Record<string, string | Buffer>> = {
  'field.nmea': LOG,
  'field.nmea.gz': gzipSync(LOG),
  'empty.nmea': '',
  'empty.gz': gzipSync(''),
  'cut.gz': gzipSync(LOG.repeat(20)).subarray(0, 80),
  'binary.bin': Buffer.from(Array.from({ length: 3000 }, (_, index) => (index * 7919) % 251)),
  'letter.txt': 'Dear receiver,\nwhere am I?\n',
  'no-time.nmea': sentence('GPRMC,,V,,,,,,,,,,N').repeat(3),
  'no-date.nmea': sentence('GPGGA,120000,,,,,0,,,,,,,,').repeat(2),
};
for (const [name, content] of Object.entries(FILES)) writeFileSync(join(folder, name), content);
mkdirSync(join(folder, 'folder.nmea'));

const read = (text: string): Promise<Scenario> => readScenario(text, { file: 'lap.yaml', baseFolder: folder });
const errorOf = async (text: string): Promise<Error & { code: string }> => {
  try {
    await read(text);
  } catch (error) {
    return error as Error & { code: string };
  }
  throw new Error('it was read');
};

describe('a recording that a scenario names', () => {
  it.each(['field.nmea', 'field.nmea.gz'])('is found beside the scenario, and unpacked: %s', async (name) => {
    const scenario = await read(`lodestub: 1\nrecording: ./${name}\n`);
    expect(scenario.recording).toMatchObject({ timing: 'stamps', shift: { kind: 'none' } });
    expect(scenario).toMatchObject({ title: 'lap', route: [], start: { year: 2022, month: 2, day: 18, hour: 12 } });
    expect(scenario.trajectory.durationS).toBe(3);
    expect(playScenario(scenario).bytes.toString('latin1')).toBe(LOG);
  });

  it('leaves nothing of what it unpacked in the folder for temporary files', async () => {
    // A folder of its own: others make and leave things in the usual one.
    const temporary = join(folder, 'temporary');
    mkdirSync(temporary);
    vi.stubEnv('TMPDIR', temporary);
    expect(tmpdir()).toBe(temporary);
    writeFileSync(join(folder, 'other.gz'), gzipSync(`${LOG}${LOG}`));
    const file = await findRecording(join(folder, 'other.gz'));
    expect(file.size).toBe(2 * LOG.length);
    vi.unstubAllEnvs();
    expect(readdirSync(temporary)).toEqual([]);
  });

  it.each([
    ['that is not there', 'nope.nmea', 'replay.missing', 'nope.nmea: there is no such file'],
    ['that is a folder', 'folder.nmea', 'replay.missing', 'folder.nmea: this is a folder'],
    ['that is empty', 'empty.nmea', 'replay.empty', 'empty.nmea: there is not a byte in it'],
    ['in which nothing is packed', 'empty.gz', 'replay.empty', 'empty.gz: there is not a byte in it'],
    ['whose packing is cut', 'cut.gz', 'replay.gzip', 'cut.gz: its compression (gzip) is damaged'],
    ['that is binary', 'binary.bin', 'replay.no-sentences', 'there is no NMEA sentence in it'],
    ['that is a letter', 'letter.txt', 'replay.no-sentences', 'there is no NMEA sentence in it'],
    ['without a time', 'no-time.nmea', 'replay.no-stamps', 'none of its sentences tells the time in it'],
  ])('%s is named as what it is', async (_, name, code, says) => {
    const error = await errorOf(`lodestub: 1\nseed: 3\nrecording: ./${name}\n`);
    expect(error.code).toBe(code);
    expect(error.message).toMatch(/^replay\.[a-z-]+: lap\.yaml, line 3, column 12, recording: /);
    expect(error.message).toContain(says);
  });

  it.each(['binary.bin', 'letter.txt', 'no-time.nmea'])('can be played back to back all the same: %s', async (name) => {
    const scenario = await read(`lodestub: 1\nrecording: { file: ./${name}, timing: line }\n`);
    expect(scenario.start).toBe('now');
    const { bytes } = playScenario(scenario);
    expect(bytes.equals(Buffer.from(FILES[name] as string))).toBe(true);
    expect(scenario.trajectory.durationS).toBeCloseTo((bytes.length * 10) / 9600, 9);
  });

  it('ends where its file ends, if that has become shorter meanwhile, and frees it', async () => {
    const path = join(folder, 'shrinking.nmea');
    writeFileSync(path, LOG.repeat(3));
    const scenario = await read('lodestub: 1\nrecording: ./shrinking.nmea\n');
    truncateSync(path, LOG.length);
    expect(playScenario(scenario).bytes.toString('latin1')).toBe(LOG);
  });

  it('is read piece by piece: of a large one little is in memory', () => {
    let reads = 0;
    // 3 GB of one epoch after the other: what is read is made up as it is asked for.
    const epoch = latin1(epochText('120000.00'));
    const file: RecordingFile = {
      path: 'large',
      size: 3e9,
      open: () => ({
        read(into, position) {
          reads++;
          for (let i = 0; i < into.length; i++) into[i] = epoch[(position + i) % epoch.length] as number;
          return into.length;
        },
        close() {},
      }),
    };
    const groups = new RecordedGroups(file);
    for (let count = 0; count < 1000; count++) expect(groups.next()).not.toBeNull();
    groups.close();
    expect(reads).toBeLessThan(5);
  });
});

describe('a scenario with a recording refuses', () => {
  const base = 'lodestub: 1\nrecording: ./field.nmea\n';
  it.each([
    ['a route', 'route:\n  - { hold: 3 s, at: [1, 2] }\n', 'scenario.one-of', 'line 3, column 1, route'],
    ['a start', 'start: now\n', 'scenario.recording', 'line 3, column 1, start'],
    ['a receiver', 'receiver: { start: hot }\n', 'scenario.recording', 'line 3, column 1, receiver'],
    ['a sky', 'sky: { systems: [gps] }\n', 'scenario.recording', 'line 3, column 1, sky'],
    ['errors', 'errors: none\n', 'scenario.recording', 'line 3, column 1, errors'],
    ['surroundings', 'surroundings: tunnel\n', 'scenario.recording', 'line 3, column 1, surroundings'],
    [
      'a fault of the signal',
      'timeline:\n  - { at: 1 s, fault: signal-loss }\n',
      'scenario.recording',
      'line 4, column 16, timeline.1.fault: the fault signal-loss needs a receiver',
    ],
    [
      'a fault of the receiver',
      'timeline:\n  - { at: 1 s, fault: restart }\n',
      'scenario.recording',
      'timeline.1.fault: the fault restart needs a receiver',
    ],
    [
      'surroundings on the way',
      'timeline:\n  - { at: 1 s, surroundings: tunnel }\n',
      'scenario.recording',
      'timeline.1.surroundings',
    ],
    ['an offer of the receiver', 'live:\n  - { fault: frozen-position }\n', 'scenario.recording', 'live.1.fault'],
    ['neither this nor a route', null, 'scenario.required', 'line 1, column 1, route: the key route is missing'],
    ['a timing of no kind', { timing: 'slow' }, 'scenario.unknown-word', 'recording.timing'],
    ['an unknown key', { 'shift-tim': 'now' }, 'scenario.unknown-key', 'Did you mean shift-time?'],
    ['a shift that is none', { 'shift-time': 'soon' }, 'scenario.type', 'recording.shift-time: expected a time in UTC'],
    [
      'a shift without a date',
      { file: './no-date.nmea', 'shift-time': 'now' },
      'replay.no-date',
      'recording.shift-time',
    ],
    ['a gap without a unit', { 'longest-gap': 5 }, 'scenario.unit', 'recording.longest-gap'],
  ])('%s', async (_, more, code, says) => {
    const mapping = { lodestub: 1, recording: { file: './field.nmea', ...(more as object) } };
    const text = more === null ? 'lodestub: 1\n' : typeof more === 'string' ? base + more : JSON.stringify(mapping);
    const error = await errorOf(text);
    expect(error.code, error.message).toBe(code);
    expect(error.message).toContain(says);
  });

  it('a number or a list in its place', async () => {
    expect((await errorOf('lodestub: 1\nrecording: 3\n')).code).toBe('scenario.type');
    expect((await errorOf('lodestub: 1\nrecording: [./field.nmea]\n')).code).toBe('scenario.type');
  });
});

describe('what is said of a scenario with a recording', () => {
  it('has what is in it, its times and dates, and how full the line is', async () => {
    const text = `${LOG}\x01${epochText('120203.00').replace('A*', 'B*')}${epochText('120204.00')}`;
    const timeline = [{ at: '1 s', fault: 'bad-checksum' }];
    const scenario = await scenarioOf(latin1(text), { baud: 9600, timeline, shiftTime: '2027-04-01' });
    const lines = describeScenario(scenario).split('\n');
    const all = lines.join('\n');
    expect(all).toContain(`memory, ${text.length} bytes`);
    expect(all).toContain('10 sentences, 1 with a wrong checksum, in 5 epochs, 5 of them with a time');
    expect(all).toContain('1 byte belongs to no sentence');
    expect(all).toContain('usually 1 s apart, at most 121 s');
    expect(all).toContain('from 2022-02-18T12:00:00Z on, moved to 2027-04-01');
    expect(all).toMatch(/single-band-9600: 9600 baud, line about \d+ % full, 14 % in the fullest epoch/);
    expect(all).toMatch(/1 +0:01 to the end +bad-checksum/);
    expect(lines.length).toBeLessThanOrEqual(25);
  });

  it('warns of a line that is too slow', async () => {
    const full = LOG.repeat(1).replaceAll('$GNGGA', `${sentence('GPTXT,01,01,02,x').repeat(100)}$GNGGA`);
    const scenario = await scenarioOf(latin1(full), { baud: 9600 });
    expect(describeScenario(scenario)).toContain('sentences will be lost, take a higher --baud');
    expect((await replay(latin1(full), { baud: 38_400 })).bytes.toString('latin1')).toBe(full);
  });
});
