import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { readYaml } from '../../../src/scenario/document.js';
import { explain } from '../../../src/scenario/explain.js';
import { strict } from '../../../src/scenario/fields.js';
import type { Expectation } from '../../../src/trial/expectation.js';
import { EXPECTATION_SCHEMA } from '../../../src/trial/expectations/expectation-schema.js';
import { judgeAll } from '../../../src/trial/expectations/judge.js';
import { EXPECTATION_KINDS } from '../../../src/trial/expectations/registry.js';
import { madeEvidence } from '../made.js';

const FILE = strict({ expect: z.array(EXPECTATION_SCHEMA) });

/** The expectations of a file, or the message about it. */
function read(text: string) {
  const document = readYaml(text, 'trial.yaml', 'trial');
  const result = FILE.safeParse(document.value);
  return result.success ? result.data.expect : explain(document, result.error.issues, () => null).message;
}

describe('expectations of one name', () => {
  it('are told apart in results', () => {
    const twice = read('expect: [{ restarts: 0 }, { restarts: 0 }, { running: true }]') as Expectation[];
    const names = judgeAll(twice, madeEvidence()).map(({ name }) => name);
    expect(new Set(names).size).toBe(3);
    expect(names[1]).toBe(`${names[0]} (2)`);
  });
});

describe('an expectation in a trial’s file', () => {
  it('is read with its settings, window and cases', () => {
    const text = `expect:
  - { position: 15 m, percentile: 99, against: module, from: 1 min, to: 5 min, during: tunnel, name: In the tunnel,
      only: { faults: [tunnel, jam], seed: 3, module: a } }`;
    expect(read(text)).toEqual([
      {
        name: 'In the tunnel',
        kind: EXPECTATION_KINDS.find(({ key }) => key === 'position'),
        settings: { position: 15, percentile: 99, against: 'module' },
        window: { fromS: 60, toS: 300, during: 'tunnel' },
        only: { faults: ['tunnel', 'jam'], seed: ['3'], module: ['a'] },
      },
    ]);
  });

  it('has defaults, and a name that says what it is', () => {
    const [expectation] = read('expect: [{ first-fix: 45 s }]') as never[];
    expect(expectation).toMatchObject({
      name: 'first fix within 45 s of the start',
      settings: { 'first-fix': 45, after: 'start' },
      window: { fromS: null, toS: null, during: null },
      only: {},
    });
    const named = read('expect: [{ no-fix: 3 s, during: tunnel }]') as unknown as { name: string }[];
    expect(named[0]?.name).toBe('no fix reported within 3 s of its loss, during tunnel');
    for (const [window, words] of [
      ['from: 1 min', ', from 60 s on'],
      ['to: 90 s', ', up to 90 s'],
      ['from: 60 s, to: 90 s, during: tunnel', ', from 60 s to 90 s, during tunnel'],
    ]) {
      const [one] = read(`expect: [{ restarts: 0, ${window} }]`) as unknown as { name: string }[];
      expect(one?.name).toMatch(new RegExp(`${words}$`));
    }
  });

  it.each([
    [
      '{ postion: 15 m }',
      'line 2, column 7, expect.1.postion: the key postion is not known here. Did you mean position?',
    ],
    [
      '{ position: 15 }',
      'trial.unit: trial.yaml, line 2, column 17, expect.1.position: expected a length with its unit',
    ],
    [
      '{ position: 15 m, percentil: 90 }',
      'trial.unknown-key: trial.yaml, line 2, column 23, expect.1.percentil: the key percentil is not known here.',
    ],
    ['{ position: 15 m, percentile: 120 }', 'expect.1.percentile: expected a percentage from 1 to 100, got 120.'],
    ['{ position: 15 m, against: modul }', 'expected one of truth, module, got "modul". Did you mean module?'],
    [
      '{ position: 15 m, speed: 1 m/s }',
      'line 2, column 23, expect.1.speed: expected only one of the keys first-fix, position',
    ],
    ['{ from: 3 s }', 'expected an expectation as a mapping with one of the keys first-fix, position'],
    ['running', 'expected an expectation as a mapping with one of the keys first-fix, position'],
    ['{ running: false }', 'expect.1.running: expected true, got false'],
    ['{ damaged-sentence: used }', 'expect.1.damaged-sentence: expected refused, got "used"'],
    ['{ restarts: -1 }', 'expect.1.restarts: expected a whole number of 0 to 1000 restarts, got -1'],
    [
      '{ no-fix: 3 s, from: 20 s, to: 20 s }',
      'trial.range: trial.yaml, line 2, column 36, expect.1.to: expected a time after from, got "20 s"',
    ],
    [
      '{ no-fix: 3 s, only: { fault: tunnel } }',
      'expect.1.only.fault: the key fault is not known here. Did you mean faults?',
    ],
    ['{ no-fix: 3 s, only: { faults: [] } }', 'expect.1.only.faults: expected text or a number, or a list of them'],
    ['{ no-fix: 3 s, above: 1 m/s }', 'the key above is not known here'],
  ])('that is wrong is explained: %s', (entry, message) => {
    expect(read(`expect:\n  - ${entry}\n`)).toContain(message);
  });

  it('has a JSON Schema, with a description for every key', () => {
    const schema = z.toJSONSchema(EXPECTATION_SCHEMA, { io: 'input' }) as unknown as {
      anyOf: { properties: Record<string, { description?: string }>; required: string[] }[];
    };
    expect(schema.anyOf.map(({ required }) => required)).toEqual(EXPECTATION_KINDS.map(({ key }) => [key]));
    const bare = schema.anyOf.flatMap(({ properties }) =>
      Object.entries(properties).filter(([, { description }]) => description === undefined),
    );
    expect(bare).toEqual([]);
  });
});
