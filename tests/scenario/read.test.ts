import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { loadScenarioFile } from '../../src/scenario/read.js';
import { ALL_ERRORS, NO_ERRORS } from '../../src/sim/signal/error-switches.js';
import { errorOf, inMemory, LEAST, read } from './helper.js';

/** Rounding of a unit's factor: one part in 10^12 of the value. */
const ROUNDING = 1e-12;

const FULL = `lodestub: 1
title: Two legs and a tunnel
seed: 11
start: 2022-02-18T09:30:00Z
duration: 20 min
module: older-4800
receiver: { start: warm, elevation-mask: 10 deg, antenna: good, channels: 8 }
sky:
  systems: [gps]
  almanac: ./week2197.txt
  shift: true
  out-of-service: [G05]
errors: none
surroundings: open
route:
  - { hold: 90 s, at: [63.4305, 10.3951, 12 m] }
  - { go: [63.4410, 10.4102], speed: 9 kn }
  - go: [[63.45, 10.42], 63.46 N 10.43 E]
    speed: 18 km/h
    acceleration: 1 m/s2
    turn-radius: 40 m
    yaw-rate: 5 deg/s
  - repeat: 3
    route:
      - { hold: 2 min }
timeline:
  - { at: 4 min, for: 30 s, fault: silence }
  - { at: 6 min, for: 20 s, fault: bad-checksum, with: { share: 0.5 } }
  - { at: 9 min, surroundings: tunnel }
`;
const FILES = { 'folder/week2197.txt': 'an almanac' };

describe('a scenario', () => {
  it('is read with every key', async () => {
    const scenario = await read(FULL, FILES);
    expect(scenario).toMatchObject({
      title: 'Two legs and a tunnel',
      seed: 11,
      start: { year: 2022, month: 2, day: 18, hour: 9, minute: 30, second: 0 },
      durationS: 1200,
      receiverStart: 'warm',
      errors: NO_ERRORS,
      surroundings: { kind: 'open' },
      sky: {
        systems: ['gps'],
        almanac: { path: 'folder/week2197.txt', text: 'an almanac' },
        shift: true,
        outOfService: ['G05'],
      },
      module: { name: 'older-4800', baud: 4800, receiver: { elevationMaskDeg: 10, antenna: 'good', channels: 8 } },
      file: 'lap.yaml',
    });
    const [hold, go, list, repeat] = scenario.route;
    expect(hold).toEqual({
      kind: 'hold',
      durationS: 90,
      at: { latitudeDeg: 63.4305, longitudeDeg: 10.3951, altitudeMslM: 12 },
    });
    expect(go).toMatchObject({ kind: 'go', accelerationMps2: 0.5, yawRateDegps: 10 });
    expect(Math.abs((go as { speedMps: number }).speedMps - (9 * 1852) / 3600)).toBeLessThan(ROUNDING);
    expect(list).toMatchObject({ speedMps: 5, accelerationMps2: 1, turnRadiusM: 40, yawRateDegps: 5 });
    expect(list).toHaveProperty('via', [
      { latitudeDeg: 63.45, longitudeDeg: 10.42 },
      { latitudeDeg: 63.46, longitudeDeg: 10.43 },
    ]);
    expect(scenario.trajectory.at(0)).toMatchObject(hold?.kind === 'hold' ? { ...hold.at } : {});
    expect(repeat).toEqual({ kind: 'repeat', times: 3, steps: [{ kind: 'hold', durationS: 120 }] });
  });

  it('has its timeline in order, with places from 1, faults and their settings', async () => {
    const { timeline } = await read(FULL, FILES);
    expect(timeline[0]).toMatchObject({ place: 1, atS: 240, forS: 30, kind: 'fault', settings: {} });
    expect(timeline[1]).toMatchObject({ place: 2, atS: 360, forS: 20, settings: { share: 0.5 } });
    expect(timeline[1]).toHaveProperty(
      'fault',
      FAULT_KINDS.find(({ name }) => name === 'bad-checksum'),
    );
    expect(timeline[2]).toEqual({
      place: 3,
      name: '3',
      atS: 540,
      forS: null,
      kind: 'surroundings',
      surroundings: { kind: 'tunnel' },
    });
  });

  it('has a default for everything but version and route', async () => {
    expect(await read(LEAST)).toMatchObject({
      title: 'lap',
      seed: 1,
      start: 'now',
      durationS: null,
      receiverStart: 'cold',
      errors: ALL_ERRORS,
      surroundings: { kind: 'open' },
      sky: { systems: ['gps'], almanac: null, navigation: null, shift: false, outOfService: [] },
      module: { name: 'single-band-9600' },
      timeline: [],
    });
  });

  it("fills in a fault's settings", async () => {
    const { timeline } = await read(`${LEAST}timeline:\n  - { at: 0, fault: restart }\n`);
    expect(timeline[0]).toMatchObject({ atS: 0, settings: { start: 'cold', off: 1 } });
  });

  it('takes a start to the fraction of a second, also within a leap second, and leaves now to the run', async () => {
    expect((await read(`${LEAST}start: now\n`)).start).toBe('now');
    expect((await read(`${LEAST}start: 2024-02-29T23:59:59.5Z\n`)).start).toEqual({
      year: 2024,
      month: 2,
      day: 29,
      hour: 23,
      minute: 59,
      second: 59.5,
    });
    expect((await read(`${LEAST}start: 2016-12-31T23:59:60Z\n`)).start).toMatchObject({ second: 60 });
    expect((await errorOf(`${LEAST}start: 2017-12-31T23:59:60Z\n`)).code).toBe('scenario.range');
  });

  it('yields to what the command line sets', async () => {
    const overrides = { seed: 99, module: 'older-4800', durationS: 5, baud: 38_400 };
    const scenario = await read(FULL.replace('older-4800', 'single-band-9600'), FILES, { overrides });
    expect(scenario).toMatchObject({ seed: 99, durationS: 5, module: { name: 'older-4800', baud: 38_400 } });
  });

  it('reads a module as a file next to it, and as a mapping', async () => {
    const files = { 'folder/mine.yaml': 'lodestub-module: 1\nbaud: 19200\n' };
    expect((await read(`${LEAST}module: mine.yaml\n`, files)).module).toMatchObject({ name: 'mine', baud: 19_200 });
    expect((await read(`${LEAST}module: { baud: 57600 }\n`)).module).toMatchObject({ baud: 57_600, epochMs: 1000 });
  });

  it('reads a track next to it', async () => {
    const point = (lat: number, time: string) =>
      `<trkpt lat="${lat}" lon="10"><ele>5</ele><time>${time}</time></trkpt>`;
    const gpx =
      '<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>' +
      `${point(63, '2022-01-01T00:00:00Z')}${point(63.001, '2022-01-01T00:01:00Z')}</trkseg></trk></gpx>`;
    const { route } = await read('lodestub: 1\nroute:\n  - { track: ./run.gpx }\n', { 'folder/run.gpx': gpx });
    expect(route[0]).toMatchObject({ kind: 'track', source: 'folder/run.gpx', points: [{ timeS: 0 }, { timeS: 60 }] });
    expect(route[0]).not.toHaveProperty('speedMps');
  });

  it('is found by name, and a name that none has is answered with those known', async () => {
    expect((await loadScenarioFile('bench')).durationS).toBe(5400);
    await expect(loadScenarioFile('bensh')).rejects.toMatchObject({
      code: 'scenario.missing',
      hint: expect.stringMatching(/^Did you mean bench\?/),
    });
    await expect(loadScenarioFile('./no-such-file.yaml')).rejects.toMatchObject({ code: 'scenario.missing' });
    await expect(loadScenarioFile('./tests/')).rejects.toMatchObject({ code: 'scenario.missing' });
  });
});

describe('whatever is done to a scenario, a LodestubError is the worst that happens', () => {
  const attempt = async (text: string) => {
    try {
      await read(text, FILES);
    } catch (error) {
      if (!(error instanceof LodestubError)) throw error;
      expect(error.message).not.toMatch(/undefined|\[object|NaN/);
    }
  };
  const junk = fc.oneof(
    fc.constantFrom(
      ...'{}[]:,-#&*!|>\'"%@`?\n\t 0',
      '\u0000',
      '- ',
      ': ',
      '{}',
      '[]',
      'null',
      '1e999',
      '-1',
      '~',
      '<<',
    ),
    fc.string({ maxLength: 6 }),
  );

  it('characters replaced, removed, put in', async () => {
    const edit = fc.record({ at: fc.nat(FULL.length), cut: fc.nat(12), put: junk });
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 1, maxLength: 4 }), async (edits) => {
        let text = FULL;
        for (const { at, cut, put } of edits) text = text.slice(0, at) + put + text.slice(at + cut);
        await attempt(text);
      }),
      { numRuns: 400 },
    );
  });

  it('values replaced by other values', async () => {
    const spots = [...FULL.matchAll(/(?<=: )[^\s{[][^,}\n]*/g)].map(
      ({ index, 0: value }) => [index, value.length] as const,
    );
    const value = fc.oneof(
      fc.json({ maxDepth: 2 }),
      fc.constantFrom('0', '-3 s', '9 kn', '1e308 d', '[]', '{}', "''", '~'),
    );
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...spots), value, async ([at, length], put) => {
        await attempt(FULL.slice(0, at) + put + FULL.slice(at + length));
      }),
      { numRuns: 400 },
    );
  });
});

it('the files of a test are found by their exact path only', () => {
  expect(() => inMemory(FILES).readText('week2197.txt')).toThrow();
});
