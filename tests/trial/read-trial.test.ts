import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { readTrial } from '../../src/trial/read-trial.js';
import { scenarioOf } from '../../src/trial/scenario-of.js';

const FOLDER = fileURLToPath(new URL('examples', import.meta.url));

const HEAD = 'lodestub-trial: 1\n';
const TAIL = `host: { command: [reader, '{port}'] }
reports: { format: json-lines }
expect: [{ first-fix: 45 s }]
`;

function read(middle: string, tail = TAIL) {
  return readTrial(`${HEAD}${middle}${tail}`, 'trial.yaml', FOLDER);
}

async function failure(middle: string, tail = TAIL): Promise<string> {
  try {
    await read(middle, tail);
  } catch (error) {
    if (error instanceof LodestubError) return error.message;
    throw error;
  }
  return 'none';
}

describe('the cases of a trial', () => {
  it('one scenario alone is one case, with the scenario’s own seed and module', async () => {
    const { cases, title } = await read('scenario: ./drive.yaml\n');
    expect(title).toBe('trial');
    expect(cases.map(({ id }) => id)).toEqual(['drive/single-band-9600/seed-5/none']);
  });

  it('every combination, in the order of the axes, without what is excluded', async () => {
    const { cases } = await read(`scenario: [./drive.yaml, harbour-pilot]
module: [single-band-9600, four-system-115200]
seed: [1, 2]
duration: 30 s
faults:
  clean: []
  mute: [{ at: 5 s, for: 5 s, fault: silence }]
exclude:
  - { scenario: harbour-pilot, module: four-system-115200 }
  - { scenario: ./drive.yaml, seed: 2, faults: [mute] }
`);
    expect(cases.map(({ id }) => id)).toEqual([
      'drive/single-band-9600/seed-1/clean',
      'drive/single-band-9600/seed-1/mute',
      'drive/single-band-9600/seed-2/clean',
      'drive/four-system-115200/seed-1/clean',
      'drive/four-system-115200/seed-1/mute',
      'drive/four-system-115200/seed-2/clean',
      'harbour-pilot/single-band-9600/seed-1/clean',
      'harbour-pilot/single-band-9600/seed-1/mute',
      'harbour-pilot/single-band-9600/seed-2/clean',
      'harbour-pilot/single-band-9600/seed-2/mute',
    ]);
  });

  it('a case’s scenario has the set’s entries, the seed, module and length of the case', async () => {
    const { cases } = await read(`scenario: ./drive.yaml
module: single-band-115200-10hz
seed: 77
duration: 33 s
faults: { mute: [{ at: 5 s, for: 5 s, fault: silence, id: pause }] }
`);
    const scenario = await scenarioOf(cases[0]!);
    expect(scenario).toMatchObject({ seed: 77, durationS: 33, module: { name: 'single-band-115200-10hz' } });
    expect(scenario.timeline.map(({ name, atS, forS }) => [name, atS, forS])).toEqual([['pause', 5, 5]]);
  });

  it('the digest is another one for another trial, scenario or module, and the same for the same', async () => {
    const digests = await Promise.all(
      ['', 'seed: 4\n', 'module: older-4800\n', 'faults: { mute: [{ at: 5 s, fault: silence }] }\n'].map(
        async (more) => (await read(`scenario: ./drive.yaml\n${more}`)).digest,
      ),
    );
    expect(new Set(digests).size).toBe(4);
    expect((await read('scenario: ./drive.yaml\n')).digest).toBe(digests[0]);
  });
});

describe('what is wrong with a trial is said with its place', () => {
  it.each([
    ['scenario: ./drvie.yaml\n', /^trial\.missing: trial\.yaml, line 2.*drvie\.yaml/s],
    ['scenario: harbour-pliot\n', /^trial\.missing: trial\.yaml, line 2.*harbour-pilot/s],
    ['scenario: ./drive.yaml\nmodule: single-band-96000\n', /single-band-9600/],
    ['scenario: ./drive.yaml\nseed: [1, -2]\n', /^trial\.range: trial\.yaml, line 3.*4294967295/s],
    ['scenario: ./drive.yaml\nseed: [1, 1]\n', /seed-1\/none a second time/],
    [
      'scenario: ./drive.yaml\nfaults: { mute: [{ at: 5 s, fault: silense }] }\n',
      /^trial\.unknown-word: trial\.yaml, line 3.*silence/s,
    ],
    ['scenario: ./drive.yaml\nfaults: { mute: [{ at: 5 s, clear: jam }] }\n', /with the set of faults mute/],
    ['scenario: ./drive.yaml\nexclude: [{ faults: tunnel }]\n', /^trial\.unknown-word: .*faults.*none/s],
    ['scenario: ./drive.yaml\nexclude: [{ seed: 5 }]\n', /a case that is left to be played/],
    ['scenario: ./drive.yaml\npace: fast\n', /in-step/],
    [
      'scenario: ./drive.yaml\nduration: 20 s\nfaults: { late: [{ at: 50 s, fault: silence }] }\n',
      /^trial\.range: trial\.yaml, line 4.*before the case’s end, at 20 s, got 50 s/s,
    ],
    ['scenario: ./drive.yaml\nlink: /tmp/gnss\n', /\{link\}/],
    ['senario: ./drive.yaml\nscenario: ./drive.yaml\n', /^trial\.unknown-key: .*scenario/s],
  ])('%j', async (middle, message) => {
    expect(await failure(middle)).toMatch(message);
  });

  it.each([
    ['expect: []', /one expectation or more/],
    ['expect: [{ first-fxi: 45 s }]', /first-fix/],
    ['expect: [{ first-fix: 45 }]', /unit/],
    ['expect: [{ first-fix: 45 s, only: { faults: tunnel } }]', /one of none/],
    ['expect: [{ position: 9 m, during: tunel }]', /during.*these cases have no faults/],
    ['expect: [{ position: 9 m, from: 2 h }]', /before the case’s end/],
  ])('%s', async (expectations, message) => {
    expect(await failure('scenario: ./drive.yaml\n', TAIL.replace(/expect:.*/, expectations))).toMatch(message);
  });

  it('an expectation for cases that are all left out is never tested, and says so', async () => {
    const middle =
      'scenario: ./drive.yaml\nseed: [1, 2]\nfaults: { a: [], b: [] }\nexclude: [{ faults: b, seed: 2 }]\n';
    for (const window of ['', ', from: 2 s', ', during: silence']) {
      const only = `expect: [{ running: true }, { running: true, only: { faults: b, seed: 2 }${window} }]`;
      const said = await failure(middle, TAIL.replace(/expect:.*/, only));
      expect(said).toMatch(/expect\.2\.only: expected cases that are played, got cases that are all left out/);
    }
  });

  it('during names what comes in a case: an entry, a kind of fault, surroundings', async () => {
    const sets = 'faults: { a: [{ at: 5 s, fault: silence, id: pause }], b: [{ at: 5 s, surroundings: tunnel }] }\n';
    const tail = (during: string) =>
      TAIL.replace(/expect:.*/, `expect: [{ running: true }, { position: 9 m, during: ${during} }]`);
    for (const during of ['pause', 'pause.1', 'silence', 'tunnel']) {
      expect(await failure(`scenario: ./drive.yaml\n${sets}`, tail(during)), during).toBe('none');
    }
    expect(await failure(`scenario: ./drive.yaml\n${sets}`, tail('tunel'))).toMatch(/unknown-word: .*tunnel/s);
  });

  it('a host that runs already must know where the module is', async () => {
    const tail = TAIL.replace(/host:.*/, 'host: already-running');
    expect(await failure('scenario: ./drive.yaml\n', tail)).toMatch(/a link, or a port/);
    expect(await failure('scenario: ./drive.yaml\nlink: ./gnss\n', tail)).toBe('none');
  });

  it('a scenario is no trial', async () => {
    await expect(readTrial('lodestub: 1\nroute: []\n', 'lap.yaml', FOLDER)).rejects.toThrow(/it is a scenario/);
  });
});
