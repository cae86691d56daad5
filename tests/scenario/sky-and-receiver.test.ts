import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { dayNumberOf } from '../../src/base/time.js';
import { readScenario } from '../../src/scenario/read.js';
import { NODE_FILES } from '../../src/scenario/shipped.js';
import { ALL_ERRORS } from '../../src/sim/signal/error-switches.js';
import type { Surroundings } from '../../src/sim/surroundings.js';
import { errorOf, LEAST, read } from './helper.js';

const sky = (text: string) => `${LEAST}sky: { ${text} }\n`;
const receiver = (text: string) => `${LEAST}receiver: { ${text} }\n`;
const around = (text: string) => `${LEAST}surroundings: ${text}\n`;

describe('the sky', () => {
  it('takes any of the seven systems, in one order however they are written', async () => {
    const all = await read(sky('systems: [sbas, gps, beidou, glonass, navic, qzss, galileo, gps]'));
    expect(all.sky.systems).toEqual(['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic', 'sbas']);
  });

  it('reads a navigation file next to it, instead of an almanac', async () => {
    const { sky: choice } = await read(sky('navigation: ./brdc.rnx'), { 'folder/brdc.rnx': 'records' });
    expect(choice).toMatchObject({ almanac: null, navigation: { path: 'folder/brdc.rnx', text: 'records' } });
    const error = await errorOf(sky('navigation: ./brdc.rnx, almanac: ./brdc.rnx'), { 'folder/brdc.rnx': '' });
    expect(error).toMatchObject({ code: 'scenario.one-of', path: 'lap.yaml, line 4, column 8, sky.navigation' });
  });

  it('has a fictional leap second after the last that was inserted', async () => {
    const { leapSeconds } = await read(sky('leap-second: 2027-06-30'));
    const day = dayNumberOf(2027, 6, 30);
    expect(leapSeconds.endsWithLeapSecond(day)).toBe(true);
    expect(leapSeconds.gpsMinusUtcOnDayS(day)).toBe(18);
    expect(leapSeconds.gpsMinusUtcOnDayS(day + 1)).toBe(19);
    expect((await read(LEAST)).leapSeconds.endsWithLeapSecond(day)).toBe(false);
    expect(await errorOf(sky('leap-second: 2016-12-31'))).toMatchObject({ code: 'scenario.range' });
    expect(await errorOf(sky('leap-second: 2027-06-31'))).toMatchObject({ code: 'scenario.type' });
  });

  it('leaves out satellites of any system', async () => {
    expect((await read(sky('out-of-service: [G05, R24, E36, C63, J07, I14, S58]'))).sky.outOfService).toHaveLength(7);
  });
});

describe('a file that a scenario names may be compressed', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'lodestub-gzip-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  it('with gzip, and says so when that is damaged', async () => {
    const whole = gzipSync('3.04 NAVIGATION DATA '.repeat(100));
    writeFileSync(join(folder, 'whole.rnx.gz'), whole);
    writeFileSync(join(folder, 'half.rnx.gz'), whole.subarray(0, whole.length / 2));
    expect(await NODE_FILES.readText(join(folder, 'whole.rnx.gz'))).toMatch(/^3\.04 NAVIGATION DATA 3\.04/);
    await expect(NODE_FILES.readText(join(folder, 'half.rnx.gz'))).rejects.toThrow(/compression \(gzip\) is damaged/);
    const options = { file: 'lap.yaml', baseFolder: folder };
    // Where the file is there, nothing is said of where it was looked for.
    await expect(readScenario(sky('navigation: ./half.rnx.gz'), options)).rejects.toThrow(/: fetch it again\.$/);
    await expect(readScenario(sky('navigation: ./none.gz'), options)).rejects.toThrow(/relative to the scenario\.$/);
  });
});

describe('errors', () => {
  it('are switched off one by one', async () => {
    const { errors } = await read(`${LEAST}errors: { ionosphere: false, receiver-clock: false }\n`);
    expect(errors).toEqual({ ...ALL_ERRORS, ionosphere: false, receiverClock: false });
    expect(await errorOf(`${LEAST}errors: { ionosfere: false }\n`)).toMatchObject({ code: 'scenario.unknown-key' });
    expect(await errorOf(`${LEAST}errors: nothing\n`)).toMatchObject({ code: 'scenario.unknown-word' });
  });
});

describe('surroundings', () => {
  it.each<[string, Surroundings]>([
    ['open', { kind: 'open' }],
    ['tunnel', { kind: 'tunnel' }],
    ['street-canyon', { kind: 'street-canyon', widthM: 20, leftHeightM: 20, rightHeightM: 20, directionDeg: null }],
    [
      '{ street-canyon: { width: 30 m, left: 0, right: 12 m, direction: 45 deg } }',
      { kind: 'street-canyon', widthM: 30, leftHeightM: 0, rightHeightM: 12, directionDeg: 45 },
    ],
    ['{ forest: { canopy: 20 m } }', { kind: 'forest', canopyM: 20, lossDbPerM: 0.5 }],
    ['{ indoors: { wall: 30 dB } }', { kind: 'indoors', roofDb: 18, wallDb: 30 }],
    [
      '{ horizon: [[0, 5], [90, 22.5], [270, 0]] }',
      {
        kind: 'horizon',
        points: [
          [0, 5],
          [90, 22.5],
          [270, 0],
        ],
      },
    ],
  ])('%s', async (text, expected) => {
    expect((await read(around(text))).surroundings).toEqual(expected);
    const [entry] = (await read(`${LEAST}timeline:\n  - { at: 1 s, surroundings: ${text} }\n`)).timeline;
    expect(entry).toMatchObject({ kind: 'surroundings', surroundings: expected });
  });

  it.each([
    ['tunel', 'scenario.unknown-word'],
    ['{ forest: { canopy: 20 } }', 'scenario.unit'],
    ['{ forrest: {} }', 'scenario.unknown-key'],
    ['{ forest: {}, indoors: {} }', 'scenario.one-of'],
    ['{ horizon: [[0, 5]] }', 'scenario.range'],
    ['{ horizon: [[90, 5], [0, 5]] }', 'scenario.type'],
    ['{ horizon: [[0, 95], [90, 5]] }', 'scenario.range'],
    ['7', 'scenario.unknown-word'],
  ])('%s is %s', async (text, code) => {
    expect((await errorOf(around(text))).code).toBe(code);
  });

  it('belong to steps of the route: each its own, or those of what repeats it', async () => {
    const { trajectory } = await read(`lodestub: 1
route:
  - { hold: 10 s, at: [63, 10], surroundings: indoors }
  - { go: [63.001, 10], speed: 10 m/s, acceleration: 10 m/s2, surroundings: forest }
  - { go: [63.002, 10], speed: 10 m/s, acceleration: 10 m/s2 }
  - { go: [63.003, 10], speed: 10 m/s, acceleration: 10 m/s2, surroundings: tunnel }
  - repeat: 2
    surroundings: street-canyon
    route:
      - { hold: 10 s }
      - { hold: 5 s, surroundings: open }
`);
    const kinds = (atS: number) => trajectory.surroundingsAt(atS)?.kind ?? null;
    // 111.4 m at 10 m/s for each leg.
    expect([5, 15, 27, 38].map(kinds)).toEqual(['indoors', 'forest', null, 'tunnel']);
    const end = trajectory.durationS;
    expect([end - 29, end - 17, end - 12, end - 1, end + 100].map(kinds)).toEqual([
      'street-canyon',
      'open',
      'street-canyon',
      'open',
      'open',
    ]);
    expect((await read(LEAST)).trajectory.surroundingsAt(0)).toBeNull();
  });
});

describe('a receiver', () => {
  it("changes the module's by what the scenario says, and nothing else", async () => {
    const text = 'systems: [galileo, gps], bands: [L1, L5], heading: two-antennas, sbas-corrections: true';
    const { module } = await read(receiver(text));
    const plain = (await read(LEAST)).module;
    expect(module.receiver).toEqual({
      ...plain.receiver,
      systems: ['gps', 'galileo'],
      bands: ['L1', 'L5'],
      heading: 'two-antennas',
      sbasCorrections: true,
    });
  });

  it('is smoothed, and has firmware of a date', async () => {
    const { receiver: settings } = (
      await read(
        receiver(
          'smoothing: { hold-below: 0.5 m/s, low-pass: 3 s, dead-reckoning: 60 s }, firmware-date: 1999-08-22, ' +
            'assumed-leap-seconds: 13',
        ),
      )
    ).module;
    expect(settings.smoothing).toEqual({ holdBelowMps: 0.5, lowPassS: 3, deadReckoningS: 60 });
    expect(settings).toMatchObject({ firmwareWeek: 1024, assumedLeapSeconds: 13 });
  });

  it.each([
    ['bands: [L2, L5]', 'scenario.type'],
    ['bands: [L1, L1]', 'scenario.type'],
    ['bands: [L3]', 'scenario.unknown-word'],
    ['systems: []', 'scenario.range'],
    ['channels: 1001', 'scenario.range'],
    ['firmware-date: 1979-01-01', 'scenario.range'],
    ['firmware-date: soon', 'scenario.type'],
  ])('%s is %s', async (text, code) => {
    expect((await errorOf(receiver(text))).code).toBe(code);
  });
});

describe('how a module writes', () => {
  const style = async (text: string) => (await read(`${LEAST}module: { ${text} }\n`)).module.style;

  it.each(['2.1', '2.3', '3.01', '4.00', '4.10', '4.11'])('version %s, as a number and as text', async (version) => {
    expect((await style(`version: ${version}`)).version).toBe(version);
    expect((await style(`version: '${version}'`)).version).toBe(version);
  });

  it('every variant is a setting of its own', async () => {
    const settings =
      'talker: used, gsa-talker: system, qzss-talker: QZ, beidou-talker: BD, glonass-ids: local, galileo-ids: 301+, ' +
      'beidou-ids: 201+, qzss-ids: 193+, sbas-ids: 120+, gsa: combined, gsv-sequence: running, pad-gsv: true, ' +
      'signal-ids: decimal, untracked-cn0: 00, cap-used: true, long-lines: true, magnetic-variation: false, ' +
      'decimals: { minutes: 8, cn0: 1 }';
    const wanted = {
      talker: 'used',
      gsaTalker: 'system',
      qzssTalker: 'QZ',
      beidouTalker: 'BD',
      glonassIds: 'local',
      galileoIds: '301+',
      beidouIds: '201+',
      qzssIds: '193+',
      sbasIds: '120+',
      gsa: 'combined',
      gsvSequence: 'running',
      padGsv: true,
      signalIds: 'decimal',
      untrackedCn0: '00',
      capUsed: true,
      longLines: true,
      magneticVariation: false,
      minuteDecimals: 8,
      cn0Decimals: 1,
    };
    expect(await style(settings)).toMatchObject(wanted);
    const plain = await style('baud: 9600');
    for (const [key, value] of Object.entries(wanted)) expect(plain[key as keyof typeof plain], key).not.toEqual(value);
  });

  it('a sentence that the version has not, and settings that contradict each other, are refused', async () => {
    const error = await errorOf(`${LEAST}module: { version: 2.1, sentences: { RMC: 1, GST: 1 } }\n`);
    expect(error).toMatchObject({ code: 'module.range', received: 'GST' });
    const other = await errorOf(`${LEAST}module: { qzss-talker: GP, qzss-ids: local }\n`);
    expect(other).toMatchObject({ code: 'module.range', path: expect.stringContaining('module.qzss-ids') });
  });
});
