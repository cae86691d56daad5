import { describe, expect, it } from 'vitest';
import { SCENARIO_ERROR_CODES } from '../../src/scenario/codes.js';
import { errorOf, LEAST, read } from './helper.js';

/** What a mistake is, the text with it, then code and path as the message must have them. */
type Case = readonly [what: string, text: string, code: string, path: string];

const step = (text: string) => `${LEAST}  - ${text}\n`;
const entry = (text: string) => `${LEAST}timeline:\n  - ${text}\n`;

const CASES: readonly Case[] = [
  ['an empty file', '', 'scenario.syntax', 'lap.yaml'],
  ['a list', '- a\n- b\n', 'scenario.type', 'lap.yaml, line 1, column 1'],
  ['a word', '# x\nhello', 'scenario.type', 'lap.yaml, line 2, column 1'],
  ['a key twice', 'lodestub: 1\nlodestub: 1\n', 'scenario.syntax', 'lap.yaml, line 2, column 1'],
  ['an open bracket', 'lodestub: 1\nroute: [\n', 'scenario.syntax', 'lap.yaml, line 3, column 1'],
  ['a tab', 'lodestub: 1\n\troute: 3', 'scenario.syntax', 'lap.yaml, line 2, column 1'],
  ['a binary file', '\u007fELF\u0000\u0001', 'scenario.syntax', 'lap.yaml'],
  ['bytes that are not UTF-8', 'lodestub: \ufffd', 'scenario.syntax', 'lap.yaml'],
  ['an enormous file', `# ${'x'.repeat(1_000_000)}`, 'scenario.syntax', 'lap.yaml'],
  ['two documents', `${LEAST}---\nx: 3\n`, 'scenario.syntax', 'lap.yaml, line 4, column 1'],
  ['a tag', `${LEAST}seed: !foo 3\n`, 'scenario.syntax', 'lap.yaml, line 4, column 7'],
  ['an alias to nothing', `${LEAST}title: *nope\n`, 'scenario.syntax', 'lap.yaml'],
  [
    'an alias to its own parent',
    'lodestub: 1\nroute: &a\n  - { repeat: 2, route: *a }\n',
    'scenario.syntax',
    'lap.yaml',
  ],
  ['a later version', LEAST.replace('1', '2'), 'scenario.version', 'lap.yaml, line 1, column 11, lodestub'],
  ['no version', LEAST.slice(12), 'scenario.version', 'lap.yaml, line 1, column 1, lodestub'],
  ['a module profile', 'lodestub-module: 1\n', 'scenario.version', 'lap.yaml, line 1, column 1, lodestub'],
  ['no route', 'lodestub: 1\n', 'scenario.required', 'lap.yaml, line 1, column 1, route'],
  ['an empty route', 'lodestub: 1\nroute: []\n', 'scenario.range', 'lap.yaml, line 2, column 8, route'],
  ['an unknown key', `${LEAST}sede: 4\n`, 'scenario.unknown-key', 'lap.yaml, line 4, column 1, sede'],
  ['a key of objects', `${LEAST}__proto__: 3\n`, 'scenario.unknown-key', 'lap.yaml, line 4, column 1, __proto__'],
  [
    'a nested unknown key',
    `${LEAST}receiver: { antena: good }\n`,
    'scenario.unknown-key',
    'lap.yaml, line 4, column 13, receiver.antena',
  ],
  [
    'an angle outside',
    `${LEAST}receiver: { elevation-mask: 95 deg }\n`,
    'scenario.range',
    'lap.yaml, line 4, column 29, receiver.elevation-mask',
  ],
  [
    'an unknown start',
    `${LEAST}receiver: { start: col }\n`,
    'scenario.unknown-word',
    'lap.yaml, line 4, column 20, receiver.start',
  ],
  ['a negative seed', `${LEAST}seed: -1\n`, 'scenario.range', 'lap.yaml, line 4, column 7, seed'],
  ['a seed in words', `${LEAST}seed: two\n`, 'scenario.type', 'lap.yaml, line 4, column 7, seed'],
  ['an empty title', `${LEAST}title: ''\n`, 'scenario.range', 'lap.yaml, line 4, column 8, title'],
  ['a number without unit', `${LEAST}duration: 20\n`, 'scenario.unit', 'lap.yaml, line 4, column 11, duration'],
  ['a duration in knots', `${LEAST}duration: 20 kn\n`, 'scenario.unit', 'lap.yaml, line 4, column 11, duration'],
  ['a duration of nothing', `${LEAST}duration: 0\n`, 'scenario.range', 'lap.yaml, line 4, column 11, duration'],
  ['a duration as a list', `${LEAST}duration: [1]\n`, 'scenario.type', 'lap.yaml, line 4, column 11, duration'],
  ['a start in words', `${LEAST}start: tomorrow\n`, 'scenario.type', 'lap.yaml, line 4, column 8, start'],
  ['30 February', `${LEAST}start: 2023-02-30T00:00:00Z\n`, 'scenario.range', 'lap.yaml, line 4, column 8, start'],
  ['errors left blank', `${LEAST}errors:\n`, 'scenario.type', 'lap.yaml, line 4, column 8, errors'],
  [
    'a go without speed',
    step('{ go: [63.4, 10.4] }'),
    'scenario.required',
    'lap.yaml, line 4, column 5, route.2.speed',
  ],
  [
    'a longitude outside',
    step('{ go: [63.4, 190], speed: 9 kn }'),
    'scenario.range',
    'lap.yaml, line 4, column 11, route.2.go',
  ],
  [
    'a latitude outside, in a list',
    step('{ go: [[63.4, 10], [91, 2]], speed: 9 kn }'),
    'scenario.range',
    'lap.yaml, line 4, column 24, route.2.go.2',
  ],
  ['half a place', step('{ go: [63], speed: 9 kn }'), 'scenario.type', 'lap.yaml, line 4, column 11, route.2.go'],
  ['a misspelt step', step('{ hodl: 3 s }'), 'scenario.unknown-key', 'lap.yaml, line 4, column 7, route.2.hodl'],
  ['two steps in one', step('{ hold: 3 s, go: [1, 2] }'), 'scenario.one-of', 'lap.yaml, line 4, column 18, route.2.go'],
  [
    'two steps in one, the later first',
    step('{ go: [1, 2], hold: soon, speed: 3 kn }'),
    'scenario.one-of',
    'lap.yaml, line 4, column 19, route.2.hold',
  ],
  [
    'a fault and surroundings',
    entry('{ at: 1 s, fault: silense, surroundings: open }'),
    'scenario.one-of',
    'lap.yaml, line 5, column 32, timeline.1.surroundings',
  ],
  ['a step of no kind', step('{ speed: 3 kn }'), 'scenario.required', 'lap.yaml, line 4, column 5, route.2'],
  ['a step as a word', step('wait'), 'scenario.type', 'lap.yaml, line 4, column 5, route.2'],
  [
    'a key of another step',
    step('{ hold: 3 s, speed: 3 kn }'),
    'scenario.unknown-key',
    'lap.yaml, line 4, column 18, route.2.speed',
  ],
  [
    'a mistake in a repeat',
    step('{ repeat: 3, route: [ { hold: 3 parsec } ] }'),
    'scenario.unit',
    'lap.yaml, line 4, column 35, route.2.route.1.hold',
  ],
  [
    'a repeat of nothing',
    step('{ repeat: 0, route: [ { hold: 3 s } ] }'),
    'scenario.range',
    'lap.yaml, line 4, column 15, route.2.repeat',
  ],
  [
    'a track that is not there',
    step('{ track: ./no.gpx }'),
    'scenario.missing',
    'lap.yaml, line 4, column 14, route.2.track',
  ],
  ['a hold elsewhere', step('{ hold: 3 s, at: [1, 2] }'), 'route.jump', 'lap.yaml, line 4, column 5, route.2'],
  [
    'an unknown fault',
    entry('{ at: 1 min, fault: silense }'),
    'scenario.unknown-word',
    'lap.yaml, line 5, column 25, timeline.1.fault',
  ],
  [
    'a share outside',
    entry('{ at: 1 min, fault: bad-checksum, with: { share: 3 } }'),
    'scenario.range',
    'lap.yaml, line 5, column 54, timeline.1.with.share',
  ],
  [
    'an unknown setting',
    entry('{ at: 1 min, fault: bad-checksum, with: { sare: 1 } }'),
    'scenario.unknown-key',
    'lap.yaml, line 5, column 47, timeline.1.with.sare',
  ],
  [
    'a share in words',
    entry('{ at: 1 min, fault: bad-checksum, with: { share: all } }'),
    'scenario.type',
    'lap.yaml, line 5, column 54, timeline.1.with.share',
  ],
  [
    'a setting outside',
    entry('{ at: 1 min, fault: restart, with: { off: 2 h } }'),
    'scenario.range',
    'lap.yaml, line 5, column 47, timeline.1.with.off',
  ],
  [
    'another kind of setting',
    entry('{ at: 1 min, fault: signal-loss, with: { satellites: some } }'),
    'scenario.type',
    'lap.yaml, line 5, column 58, timeline.1.with.satellites',
  ],
  [
    'a satellite misspelt',
    entry('{ at: 1 min, fault: signal-loss, with: { satellites: [G5] } }'),
    'scenario.type',
    'lap.yaml, line 5, column 59, timeline.1.with.satellites.1',
  ],
  [
    'settings as a number',
    entry('{ at: 1 min, fault: restart, with: 3 }'),
    'scenario.type',
    'lap.yaml, line 5, column 40, timeline.1.with',
  ],
  [
    'an entry without a time',
    entry('{ for: 1 min, fault: silence }'),
    'scenario.required',
    'lap.yaml, line 5, column 5, timeline.1.at',
  ],
  ['an entry of no kind', entry('{ at: 1 min }'), 'scenario.required', 'lap.yaml, line 5, column 5, timeline.1'],
  [
    'unknown surroundings',
    entry('{ at: 1 min, surroundings: tunel }'),
    'scenario.unknown-word',
    'lap.yaml, line 5, column 32, timeline.1.surroundings',
  ],
  ...['base64:!!!!', 'BASE64:tWI=', 'base64:', 'base64:tWIG AQ=='].map(
    (command): Case => [
      `a command ${command}`,
      entry(`{ at: 1 s, command: "${command}" }`),
      'scenario.type',
      'lap.yaml, line 5, column 25, timeline.1.command',
    ],
  ),
  ['a timeline in words', `${LEAST}timeline: soon\n`, 'scenario.type', 'lap.yaml, line 4, column 11, timeline'],
  [
    'an unknown module',
    `${LEAST}module: singel-band-9600\n`,
    'module.unknown-name',
    'lap.yaml, line 4, column 9, module',
  ],
  ['a module that is not there', `${LEAST}module: ./no.yaml\n`, 'module.missing', 'lap.yaml, line 4, column 9, module'],
  ['a module as a number', `${LEAST}module: 3\n`, 'scenario.type', 'lap.yaml, line 4, column 9, module'],
  [
    'an unknown key of a module',
    `${LEAST}module: { bau: 9600 }\n`,
    'module.unknown-key',
    'lap.yaml, line 4, column 11, module.bau',
  ],
  [
    'a rate of odd milliseconds',
    `${LEAST}module: { rate: 3 Hz }\n`,
    'module.range',
    'lap.yaml, line 4, column 17, module.rate',
  ],
  ['a rate without unit', `${LEAST}module: { rate: 3 }\n`, 'module.unit', 'lap.yaml, line 4, column 17, module.rate'],
  [
    'an unknown version',
    `${LEAST}module: { version: 5 }\n`,
    'module.unknown-word',
    'lap.yaml, line 4, column 20, module.version',
  ],
  [
    'an unknown sentence',
    `${LEAST}module: { sentences: { GGB: 1 } }\n`,
    'module.unknown-word',
    'lap.yaml, line 4, column 24, module.sentences.GGB',
  ],
  [
    'a banner that cannot be sent',
    `${LEAST}module: { banner: ['SIMULATED*'] }\n`,
    'module.type',
    'lap.yaml, line 4, column 20, module.banner.1',
  ],
  [
    'a banner that is silent on what this is',
    `${LEAST}module: { banner: [hello] }\n`,
    'module.type',
    'lap.yaml, line 4, column 19, module.banner',
  ],
  [
    'a talker in small letters',
    `${LEAST}module: { talker: gp }\n`,
    'module.type',
    'lap.yaml, line 4, column 19, module.talker',
  ],
  [
    'decimals beyond 82 characters',
    `${LEAST}module: { decimals: { minutes: 7, seconds: 3 } }\n`,
    'module.range',
    'lap.yaml, line 4, column 21, module.decimals',
  ],
  [
    'a satellite out of service that there is not',
    `${LEAST}sky: { out-of-service: [G05, G33] }\n`,
    'scenario.type',
    'lap.yaml, line 4, column 30, sky.out-of-service.2',
  ],
  [
    'a fault of a satellite that there is not',
    `${LEAST}timeline:\n  - { at: 1 s, fault: signal-loss, with: { satellites: [G05, G99] } }\n`,
    'scenario.type',
    'lap.yaml, line 5, column 62, timeline.1.with.satellites.2',
  ],
  [
    'a system that there is not',
    `${LEAST}sky: { systems: [gps, glonas] }\n`,
    'scenario.unknown-word',
    'lap.yaml, line 4, column 23, sky.systems.2',
  ],
  [
    'a navigation file that is not there',
    `${LEAST}sky: { navigation: ./x.rnx }\n`,
    'scenario.missing',
    'lap.yaml, line 4, column 20, sky.navigation',
  ],
  [
    'an almanac that is not there',
    `${LEAST}sky: { almanac: ./no.txt }\n`,
    'scenario.missing',
    'lap.yaml, line 4, column 17, sky.almanac',
  ],
  [
    'an almanac, which tells of GPS alone, for other systems',
    `${LEAST}sky: { systems: [gps, galileo], almanac: ./week.txt }\n`,
    'scenario.range',
    'lap.yaml, line 4, column 17, sky.systems',
  ],
  [
    'a satellite that does not exist',
    `${LEAST}sky: { out-of-service: [G33] }\n`,
    'scenario.type',
    'lap.yaml, line 4, column 25, sky.out-of-service.1',
  ],
];

describe('a mistake is named with its code, line and column', () => {
  it.each(CASES)('%s', async (_what, text, code, path) => {
    const error = await errorOf(text);
    expect(`${error.code}: ${error.path}`).toBe(`${code}: ${path}`);
    expect(error.message.startsWith(`${code}: ${path}: `), error.message).toBe(true);
  });

  it('every code of a scenario or module is documented', () => {
    for (const [, , code] of CASES) {
      if (!code.startsWith('route.')) expect(Object.keys(SCENARIO_ERROR_CODES)).toContain(code);
    }
  });
});

describe('messages', () => {
  it('follow the template, with the range and its unit', async () => {
    const { message } = await errorOf(`${LEAST}receiver: { elevation-mask: 95 deg }\n`);
    expect(message).toBe(
      'scenario.range: lap.yaml, line 4, column 29, receiver.elevation-mask: expected 0 deg to 90 deg, got "95 deg".',
    );
  });

  it('name the nearest fault first, and all of them', async () => {
    const { hint } = await errorOf(entry('{ at: 1 min, fault: silense }'));
    expect(hint).toMatch(/^Did you mean silence\? Known: [a-z, -]*\bsilence, /);
    for (const name of [
      'signal-loss',
      'bad-checksum',
      'garbage-bytes',
      'cut-then-dollar',
      'frozen-position',
      'restart',
    ]) {
      expect(hint).toContain(name);
    }
  });

  it('name the nearest key, setting and module', async () => {
    expect((await errorOf(`${LEAST}sede: 4\n`)).hint).toMatch(/^Did you mean seed\? /);
    expect((await errorOf(step('{ hodl: 3 s }'))).hint).toMatch(/^Did you mean hold\? /);
    const setting = await errorOf(entry('{ at: 1 s, fault: bad-checksum, with: { sare: 1 } }'));
    expect(setting.hint).toBe('Did you mean share? Known: share, sentences, tell-tale.');
    expect((await errorOf(`${LEAST}module: singel-band-9600\n`)).hint).toMatch(/^Did you mean single-band-9600\? /);
  });

  it('say what is missing, and what a bare number lacks', async () => {
    const missing = await errorOf(step('{ go: [63.4, 10.4] }'));
    expect(missing.message).toContain('the key speed is missing; expected a speed with its unit, such as 9 kn');
    expect((await errorOf(`${LEAST}duration: 20\n`)).hint).toBe('Write the unit behind the number: 20 s.');
  });

  it('report the first mistake by position and say where the others are', async () => {
    const error = await errorOf(`${LEAST}seed: -1\nreceiver: { start: col }\nsky: { shift: 3 }\n`);
    expect(error.path).toBe('lap.yaml, line 4, column 7, seed');
    expect(error.hint).toBe('2 more mistakes at line 5, column 20, receiver.start; line 6, column 15, sky.shift.');
  });

  it('give the place of what does not fit together in the route, in a repeat too', async () => {
    const error = await errorOf(step('{ repeat: 2, route: [ { hold: 3 s }, { hold: 3 s, at: [1, 2] } ] }'));
    expect(error.path).toBe('lap.yaml, line 4, column 42, route.2.route.2');
    expect(error.message).toContain('elsewhere');
    expect(error.message.match(/expected/g)).toHaveLength(1);
  });

  it('point into what an alias repeats', async () => {
    const error = await errorOf(`${LEAST}timeline:\n  - &a { at: 1 min, fault: silence, for: 0 }\n  - *a\n`);
    expect(error.path).toBe('lap.yaml, line 5, column 42, timeline.1.for');
  });

  it('name the file of a module profile, not the scenario', async () => {
    const files = { 'folder/mine.yaml': 'lodestub-module: 1\nbaud: 3\n' };
    const error = await errorOf(`${LEAST}module: ./mine.yaml\n`, files);
    expect(`${error.code}: ${error.path}`).toBe('module.range: folder/mine.yaml, line 2, column 7, baud');
  });
});

it('brackets without end give an error and no overflow', async () => {
  expect((await errorOf(`lodestub: ${'['.repeat(50_000)}`)).code).toBe('scenario.syntax');
});

it('aliases that multiply are refused', async () => {
  const levels = Array.from({ length: 12 }, (_, i) => `a${i + 1}: &a${i + 1} [${`*a${i},`.repeat(9)}]`);
  expect((await errorOf(`a0: &a0 [x]\n${levels.join('\n')}\n`)).code).toBe('scenario.syntax');
});

it('an alias is read as what it repeats', async () => {
  const scenario = await read(
    'lodestub: 1\nroute:\n  - { hold: 9 s, at: &home [1, 2] }\n  - { hold: 3 s, at: *home }\n',
  );
  expect(scenario.route[1]).toEqual({ kind: 'hold', durationS: 3, at: { latitudeDeg: 1, longitudeDeg: 2 } });
});
