import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { describeScenario } from '../../src/scenario/describe.js';
import { scenarioFromOptions } from '../../src/scenario/from-options.js';
import { lineLoad } from '../../src/scenario/line-load.js';
import { loadScenarioFile } from '../../src/scenario/read.js';
import { BUILT_IN_SCENARIO, listModules, listScenarios, resolveModule } from '../../src/scenario/shipped.js';
import { LEAST, read } from './helper.js';

/** Part of the line that a shipped profile may use at most: the rest is for more satellites than estimated. */
const LINE_MOST = 0.95;
/** Lines that a description may take, so that it fits on a screen. */
const SCREEN_LINES = 25;
/** Columns that a description may take. */
const SCREEN_COLUMNS = 140;

const scenarios = await listScenarios();
const modules = await listModules();

it('what is shipped is listed by name, with a title each', () => {
  expect(scenarios.map(({ name }) => name)).toEqual([
    'anchor-watch',
    'bench',
    'drive',
    BUILT_IN_SCENARIO,
    'old-town',
    'walk',
  ]);
  expect(modules.map(({ name }) => name)).toEqual([
    'four-system-115200',
    'older-4800',
    'single-band-115200-10hz',
    'single-band-9600',
    'two-band-115200',
  ]);
  for (const { title, name } of [...scenarios, ...modules]) expect(title).not.toBe(name);
});

describe.each(modules)('module $name', ({ name }) => {
  it('fits its line, in the fullest epoch too', async () => {
    const { average, worstEpoch } = lineLoad(await resolveModule(name));
    expect(average).toBeLessThan(LINE_MOST);
    expect(worstEpoch).toBeLessThan(LINE_MOST);
  });
});

it('a line is not filled with sentences of systems that the sky has no satellites of', async () => {
  const module = await resolveModule('four-system-115200');
  const { systems } = module.receiver;
  expect(systems).toContain('glonass');
  const narrow = { ...module, receiver: { ...module.receiver, systems: ['gps'] as const } };
  expect(lineLoad(module, ['gps'])).toEqual(lineLoad(narrow, ['gps']));
  expect(lineLoad(module).average).toBeGreaterThan(lineLoad(module, ['gps']).average);
});

describe.each(scenarios)('scenario $name', ({ name, file }) => {
  it('is read, and its route can be travelled', async () => {
    const scenario = await loadScenarioFile(name);
    const { durationS } = scenario.trajectory;
    expect(durationS).toBeGreaterThan(600);
    expect(scenario.start).not.toBe('now');
    for (const { atS, forS } of scenario.timeline) expect(atS + (forS ?? 0)).toBeLessThan(durationS);
  });

  it('needs no other file', async () => {
    expect(await readFile(file, 'utf8')).not.toMatch(/\b(track|almanac|navigation):/);
  });

  it('is described on one screen', async () => {
    const scenario = await loadScenarioFile(name);
    const lines = describeScenario(scenario).split('\n');
    expect(lines.length).toBeLessThanOrEqual(SCREEN_LINES);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(SCREEN_COLUMNS);
    expect(lines[0]).toContain(scenario.title);
  });
});

describe('a description', () => {
  it('tells route, distances and timeline in words', async () => {
    const scenario = await loadScenarioFile(BUILT_IN_SCENARIO);
    const text = describeScenario(scenario);
    expect(text).toContain('start     2026-05-12T06:40:00Z');
    expect(text).toContain('hold for 1:30 at 58.9500000 N 5.6000000 E, 4 m');
    expect(text).toMatch(/go 1\.20 km through 2 places at 18\.5 km\/h/);
    expect(text).toMatch(/ 9:00 to 9:30 +bad-checksum \(share 0\.25\)/);
    expect(text).not.toContain('never');
  });

  it('says that an entry after the end never comes, and that a line is too slow', async () => {
    const scenario = await loadScenarioFile(BUILT_IN_SCENARIO, { durationS: 60, baud: 1200 });
    const text = describeScenario(scenario);
    expect(text).toContain('(after the end: never)');
    expect(text).toContain('sentences will be lost');
  });

  it("says what an almanac's date comes to", async () => {
    const scenario = await loadScenarioFile(BUILT_IN_SCENARIO);
    const almanac = { path: 'week2197.txt', text: '' };
    const described = (shift: boolean) => describeScenario({ ...scenario, sky: { ...scenario.sky, almanac, shift } });
    expect(described(true)).toContain('almanac week2197.txt (moved if it is of another time), open');
    expect(described(false)).toContain('almanac week2197.txt, open');
  });

  it('says which systems of the sky the receiver does not hear', async () => {
    const scenario = await read(
      `${LEAST}sky: { systems: [gps, glonass, navic] }\nreceiver: { systems: [gps, navic] }\n`,
    );
    expect(describeScenario(scenario)).toContain('(the receiver does not hear GLONASS, NavIC)');
    expect(describeScenario(await read(LEAST))).not.toContain('does not hear');
  });

  it('says when each entry ends: by its own length, by that of its kind, or with the run', async () => {
    const scenario = await read(
      `${LEAST}timeline:\n  - { at: 1 s, for: 2 s, fault: silence }\n  - { at: 4 s, fault: silence }\n` +
        '  - { at: 5 s, fault: restart, with: { off: 3 s } }\n  - { at: 9 s, surroundings: tunnel }\n',
    );
    const ends = describeScenario(scenario).match(/ to (the end|[0-9:]+)/g);
    expect(ends).toEqual([' to 0:03', ' to the end', ' to 0:08', ' to the end']);
  });

  it('stays within a screen however long the scenario', async () => {
    const scenario = await loadScenarioFile('walk');
    const [hold] = scenario.route;
    const [entry] = scenario.timeline;
    const long = { ...scenario, route: Array(100).fill(hold), timeline: Array(100).fill(entry) };
    const lines = describeScenario(long).split('\n');
    expect(lines.length).toBeLessThanOrEqual(SCREEN_LINES);
    expect(lines.at(-1)).toBe('  … and 90 more entries');
  });
});

describe('a scenario from options', () => {
  it('stands at a place, from now on', async () => {
    const at = { latitudeDeg: 63.4305, longitudeDeg: 10.3951, altitudeMslM: 12 };
    const scenario = await scenarioFromOptions({ at }, { seed: 5 });
    expect(scenario).toMatchObject({ seed: 5, start: 'now', durationS: null, module: { name: 'single-band-9600' } });
    expect(scenario.route).toMatchObject([{ kind: 'hold', at }]);
    expect(scenario.trajectory.at(0)).toMatchObject({ ...at, speedMps: 0 });
    expect(scenario.file).toBeNull();
  });

  it('follows a track by its times, or walks one that has none', async () => {
    const points = [
      { latitudeDeg: 1, longitudeDeg: 2 },
      { latitudeDeg: 1.001, longitudeDeg: 2 },
    ];
    const walked = await scenarioFromOptions({ track: { points, source: 'a.gpx' } });
    expect(walked.route[0]).toHaveProperty('speedMps');
    const timed = points.map((point, index) => ({ ...point, timeS: index * 60 }));
    const followed = await scenarioFromOptions({ track: { points: timed, source: 'a.gpx' } });
    expect(followed.route[0]).not.toHaveProperty('speedMps');
    expect(followed.trajectory.durationS).toBe(60);
  });

  it('needs exactly one of the two', async () => {
    await expect(scenarioFromOptions({})).rejects.toMatchObject({ code: 'scenario.one-of' });
  });
});

it('every kind of fault can be named without settings', async () => {
  for (const { name, settings } of FAULT_KINDS) expect(settings.safeParse({}).success, name).toBe(true);
});
