import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { readModule } from '../../src/scenario/module.js';
import { DEFAULT_BANNER } from '../../src/scenario/module-schema.js';
import { resolveModule } from '../../src/scenario/shipped.js';
import { inMemory } from './helper.js';

const MARK = 'lodestub-module: 1\n';
const read = (text: string) => readModule(MARK + text, 'mine.yaml', 'mine');

function errorOf(text: string): LodestubError {
  try {
    readModule(text, 'mine.yaml', 'mine');
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('the profile was read without an error');
}

describe('a module profile', () => {
  it('has a default for everything', () => {
    const profile = read('');
    expect(profile).toMatchObject({
      name: 'mine',
      title: 'mine',
      baud: 9600,
      epochMs: 1000,
      overflow: 'drop',
      banner: [DEFAULT_BANNER],
      style: { version: '4.11', talker: 'GP', unknownDop: '99.99' },
      receiver: { elevationMaskDeg: 5, channels: 32, antenna: 'patch', simulatorFlags: false },
    });
    expect(profile.sentences.map(({ name }) => name)).toEqual(['RMC', 'GGA', 'GSA', 'GSV', 'VTG', 'GLL', 'ZDA']);
  });

  it('says at start-up that its data are simulated', () => {
    expect(DEFAULT_BANNER).toContain('SIMULATED');
    expect(read('banner: [SIMULATED module, v 1]').banner).toEqual(['SIMULATED module', 'v 1']);
  });

  it('is read with every key', () => {
    const profile = read(`title: Mine
baud: 38400
rate: 5 Hz
latency: 80 ms
jitter: 0
boot: 1.5 s
transmit-buffer: 512
overflow: cut
version: 2.3
talker: GN
decimals: { minutes: 5, seconds: 3, altitude: 2, speed: 2, course: 2, dop: 2 }
unknown-dop: ''
sentences: { ZDA: 5, RMC: 1 }
receiver: { elevation-mask: 10 deg, channels: 12, antenna: good, course-min-speed: 1 km/h, simulator-flags: true }
`);
    expect(profile).toMatchObject({
      title: 'Mine',
      baud: 38_400,
      epochMs: 200,
      latencyMs: 80,
      jitterMs: 0,
      bootMs: 1500,
      transmitBufferBytes: 512,
      overflow: 'cut',
      style: {
        version: '2.3',
        talker: 'GN',
        minuteDecimals: 5,
        secondDecimals: 3,
        altitudeDecimals: 2,
        speedDecimals: 2,
        courseDecimals: 2,
        dopDecimals: 2,
        unknownDop: '',
      },
      receiver: {
        elevationMaskDeg: 10,
        channels: 12,
        antenna: 'good',
        courseMinSpeedMps: 1 / 3.6,
        simulatorFlags: true,
      },
    });
    expect(profile.sentences).toEqual([
      { name: 'ZDA', every: 5 },
      { name: 'RMC', every: 1 },
    ]);
  });

  it.each([
    ['version: 4.11', '4.11'],
    ["version: '4.11'", '4.11'],
    ['version: 2.3', '2.3'],
    ['version: 2.30', '2.3'],
  ])('%s, quoted or not', (text, version) => {
    expect(read(text).style.version).toBe(version);
  });

  it.each([
    ['unknown-dop: 99.99', '99.99'],
    ["unknown-dop: '99.99'", '99.99'],
    ["unknown-dop: ''", ''],
  ])('%s', (text, unknownDop) => {
    expect(read(text).style.unknownDop).toBe(unknownDop);
  });

  it.each([
    ['10 Hz', 100],
    ['0.1 Hz', 10_000],
    ['50 Hz', 20],
    ['0.5 Hz', 2000],
    ['8 Hz', 125],
  ])('rate %s', (rate, epochMs) => {
    expect(read(`rate: ${rate}`).epochMs).toBe(epochMs);
  });
});

describe('a mistake in a profile', () => {
  it.each([
    ['no mark', 'baud: 9600\n', 'module.version', 'mine.yaml, line 1, column 1, lodestub-module'],
    ['a scenario', 'lodestub: 1\nroute: []\n', 'module.version', 'mine.yaml, line 1, column 1, lodestub-module'],
    ['another mark', 'lodestub-module: 2\n', 'module.version', 'mine.yaml, line 1, column 18, lodestub-module'],
    ['an empty file', '\n', 'module.syntax', 'mine.yaml'],
    ['a slow line', `${MARK}baud: 49\n`, 'module.range', 'mine.yaml, line 2, column 7, baud'],
    ['a quick rate', `${MARK}rate: 51 Hz\n`, 'module.range', 'mine.yaml, line 2, column 7, rate'],
    ['a key', `${MARK}latancy: 3 ms\n`, 'module.unknown-key', 'mine.yaml, line 2, column 1, latancy'],
    ['a word', `${MARK}overflow: stop\n`, 'module.unknown-word', 'mine.yaml, line 2, column 11, overflow'],
    ['an interval', `${MARK}sentences: { RMC: 0 }\n`, 'module.range', 'mine.yaml, line 2, column 19, sentences.RMC'],
    ['no sentence', `${MARK}sentences: {}\n`, 'module.range', 'mine.yaml, line 2, column 12, sentences'],
    [
      'a long banner',
      `${MARK}banner: [SIMULATED, ${'x'.repeat(61)}]\n`,
      'module.range',
      'mine.yaml, line 2, column 21, banner.2',
    ],
    ['a comma in it', `${MARK}banner: ['SIMULATED, x']\n`, 'module.type', 'mine.yaml, line 2, column 10, banner.1'],
    ['an umlaut in it', `${MARK}banner: [SIMULATED, ü]\n`, 'module.type', 'mine.yaml, line 2, column 21, banner.2'],
    ['a proprietary talker', `${MARK}talker: PX\n`, 'module.type', 'mine.yaml, line 2, column 9, talker'],
  ])('%s', (_what, text, code, path) => {
    const error = errorOf(text);
    expect(`${error.code}: ${error.path}`).toBe(`${code}: ${path}`);
  });

  it('says when a scenario was given', () => {
    expect(errorOf('lodestub: 1\nroute: []\n').hint).toBe('The file has the key lodestub: it is a scenario.');
  });
});

describe('a profile is found', () => {
  it('by name', async () => {
    expect((await resolveModule('older-4800')).baud).toBe(4800);
  });

  it('as a file relative to a folder, also without a slash', async () => {
    const files = inMemory({ 'folder/a.yaml': `${MARK}baud: 4800\n` });
    expect((await resolveModule('a.yaml', 'folder', files)).name).toBe('a');
    await expect(resolveModule('./b.yaml', 'folder', files)).rejects.toMatchObject({ code: 'module.missing' });
  });

  it('or is answered with those known, the nearest first', async () => {
    await expect(resolveModule('older-9600')).rejects.toMatchObject({
      code: 'module.unknown-name',
      hint: expect.stringMatching(/^Did you mean older-4800\? Known: older-4800, /),
    });
  });
});
