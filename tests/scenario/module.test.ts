import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import type { ModuleProfile } from '../../src/emit/module-profile.js';
import { writeSentences } from '../../src/emit/sentences/registry.js';
import { SENTENCE_NAMES } from '../../src/emit/sentences/style.js';
import { readModule } from '../../src/scenario/module.js';
import { DEFAULT_BANNER } from '../../src/scenario/module-schema.js';
import { resolveModule } from '../../src/scenario/shipped.js';
import { signalsOf } from '../../src/sim/signal/signal-kind.js';
import { FIX } from '../emit/sentences/helper.js';
import { inMemory } from './helper.js';

/** What a report holds beside its numbers. */
const USUAL = {
  ...FIX,
  fix: '3d',
  quality: 1,
  mode: 'A',
  status: 'A',
  utc: { year: 2026, month: 12, day: 31, hour: 23, minute: 58, second: 59.9999 },
  timeKnown: true,
  dateKnown: true,
} as const;

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
      style: { version: '4.11', talker: 'auto', unknownDop: '99.99' },
      receiver: {
        elevationMaskDeg: 5,
        channels: 72,
        systems: null,
        bands: ['L1'],
        antenna: 'patch',
        simulatorFlags: false,
      },
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

describe('no sentence of an accepted profile exceeds 82 characters', () => {
  /** With CR LF. */
  const SENTENCE_MAX = 82;

  it.each([
    // GGA of 83 at 49000.5 m.
    'version: 2.3\ndecimals: { minutes: 4, seconds: 3, altitude: 3, dop: 2 }\n',
    'version: 4.11\ndecimals: { minutes: 6, seconds: 2, altitude: 2, dop: 2 }\n',
  ])('%j is refused', (text) => {
    const error = errorOf(`${MARK}${text}`);
    expect(`${error.code}: ${error.path}`).toMatch(/^module\.range: mine\.yaml, line 3, column \d+, decimals$/);
    expect(error.received).toMatch(/^GGA with up to 8[3-9]$/);
  });

  it('whatever the decimals, at the bounds of places, speeds and dilutions', () => {
    const decimals = fc.record({
      minutes: fc.integer({ min: 2, max: 7 }),
      seconds: fc.integer({ min: 0, max: 3 }),
      altitude: fc.integer({ min: 0, max: 3 }),
      speed: fc.integer({ min: 0, max: 3 }),
      course: fc.integer({ min: 0, max: 3 }),
      dop: fc.integer({ min: 1, max: 2 }),
    });
    const ids = Array.from({ length: 12 }, (_, index) => `G${index + 10}`);
    const signals = signalsOf('gps', ['L1']).map((kind) => ({ kind, cn0DbHz: 55 }));
    const inView = ids.map((id) => ({ id, azimuthDeg: 359.4, elevationDeg: 89, cn0DbHz: 55, signals }));
    const report = fc.record({
      latitudeDeg: fc.double({ min: -90, max: 90, noNaN: true }),
      longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
      altitudeMslM: fc.constantFrom(-1000, 0, 49_000.5, 50_000),
      // The least and the greatest of EGM96, to the metre (from memory).
      geoidSeparationM: fc.constantFrom(-107, 0, 85),
      speedMps: fc.double({ min: 0, max: 1000, noNaN: true }),
      courseDeg: fc.double({ min: 0, max: 360, maxExcluded: true, noNaN: true }),
      hdop: fc.constantFrom(1, 99.99, 500),
      vdop: fc.constantFrom(null, 1, 500),
      pdop: fc.constantFrom(1, 99.99, 500),
    });
    const version = fc.constantFrom('2.1', '2.3', '3.01', '4.00', '4.10', '4.11');
    let accepted = 0;
    fc.assert(
      fc.property(decimals, version, report, (digits, edition, numbers) => {
        let profile: ModuleProfile;
        try {
          profile = read(`version: ${edition}\ndecimals: ${JSON.stringify(digits)}\n`);
        } catch (error) {
          expect(error).toMatchObject({ code: 'module.range' });
          return;
        }
        accepted++;
        const whole = { ...USUAL, ...numbers, used: ids, inView };
        for (const sentence of writeSentences(whole, profile.style, SENTENCE_NAMES)) {
          expect(sentence.length + 2, sentence).toBeLessThanOrEqual(SENTENCE_MAX);
        }
      }),
      { numRuns: 1000 },
    );
    expect(accepted).toBeGreaterThan(200);
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
      hint: expect.stringMatching(/^Did you mean older-4800\? Known: .*\bolder-4800, /),
    });
  });
});
