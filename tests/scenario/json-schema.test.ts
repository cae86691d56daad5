import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { moduleJsonSchema, scenarioJsonSchema } from '../../src/scenario/json-schema.js';
import { listModules, listScenarios } from '../../src/scenario/shipped.js';

type Schema = Record<string, unknown>;

/** What is wrong by the part of JSON Schema that the generated schemas use. */
function check(value: unknown, schema: Schema, root: Schema, at = ''): string[] {
  if (typeof schema.$ref === 'string') {
    const target = schema.$ref
      .slice(2)
      .split('/')
      .reduce<unknown>((node, key) => (node as Schema)[key], root);
    return check(value, target as Schema, root, at);
  }
  const wrong: string[] = [];
  const variants = schema.anyOf as Schema[] | undefined;
  if (variants && !variants.some((each) => check(value, each, root, at).length === 0)) wrong.push(`${at}: no variant`);
  const one = schema.oneOf as Schema[] | undefined;
  if (one && one.filter((each) => check(value, each, root, at).length === 0).length !== 1) wrong.push(`${at}: not one`);
  if (schema.const !== undefined && value !== schema.const) wrong.push(`${at}: not ${schema.const}`);
  if (Array.isArray(schema.enum) && !schema.enum.includes(value)) wrong.push(`${at}: not of the enum`);
  const types = schema.type === undefined ? null : [schema.type].flat();
  if (types && !types.some((type) => isOf(value, type as string))) wrong.push(`${at}: not ${types}`);
  if (typeof value === 'number' && typeof schema.maximum === 'number' && value > schema.maximum)
    wrong.push(`${at}: max`);
  if (typeof value === 'number' && typeof schema.minimum === 'number' && value < schema.minimum)
    wrong.push(`${at}: min`);
  if (typeof value === 'string' && typeof schema.pattern === 'string' && !new RegExp(schema.pattern, 'u').test(value)) {
    wrong.push(`${at}: pattern`);
  }
  if (Array.isArray(value) && schema.items) {
    value.forEach((each, i) => {
      wrong.push(...check(each, schema.items as Schema, root, `${at}[${i}]`));
    });
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return wrong;
  const properties = (schema.properties ?? {}) as Record<string, Schema>;
  for (const key of (schema.required ?? []) as string[]) if (!(key in value)) wrong.push(`${at}: no ${key}`);
  for (const [key, each] of Object.entries(value)) {
    const known = properties[key];
    if (known) wrong.push(...check(each, known, root, `${at}.${key}`));
    else if (schema.additionalProperties === false) wrong.push(`${at}: unknown ${key}`);
  }
  return wrong;
}

function isOf(value: unknown, type: string): boolean {
  if (type === 'array') return Array.isArray(value);
  if (type === 'object') return typeof value === 'object' && value !== null && !Array.isArray(value);
  return type === 'integer' ? Number.isInteger(value) : typeof value === type;
}

const scenarioSchema = scenarioJsonSchema() as Schema;
const moduleSchema = moduleJsonSchema() as Schema;
const scenario = (text: string) => check(parse(text), scenarioSchema, scenarioSchema);

it.each(await listScenarios())('scenario $name satisfies the schema', async ({ file }) => {
  expect(scenario(await readFile(file, 'utf8'))).toEqual([]);
});

it.each(await listModules())('module $name satisfies the schema', async ({ file }) => {
  expect(check(parse(await readFile(file, 'utf8')), moduleSchema, moduleSchema)).toEqual([]);
});

describe('the schema of a scenario', () => {
  const route = 'lodestub: 1\nroute: [{ hold: 3 s, at: [1, 2] }]\n';

  it('requires the version, and either a route or a recording', () => {
    expect(scenarioSchema.required).toEqual(['lodestub']);
    expect(scenario('lodestub: 1\nrecording: ./field.nmea\n')).toEqual([]);
    expect(scenario('lodestub: 1\nrecording: { file: ./field.nmea, timing: line, shift-time: now }\n')).toEqual([]);
    expect(scenario('lodestub: 1\nrecording: { timing: line }\n')).not.toEqual([]);
    expect(scenario(`${route}recording: ./field.nmea\n`)).not.toEqual([]);
    expect(scenario(route)).toEqual([]);
    expect(scenario('lodestub: 1\n')).not.toEqual([]);
  });

  it.each([
    ['an unknown key', 'sede: 3'],
    ['a bare number', 'duration: 20'],
    ['another unit', 'duration: 20 kn'],
    ['an unknown word', 'errors: some'],
    ['an unknown fault', 'timeline: [{ at: 3 s, fault: silense }]'],
    ["another fault's setting", 'timeline: [{ at: 3 s, fault: silence, with: { share: 1 } }]'],
    ['a share outside', 'timeline: [{ at: 3 s, fault: bad-checksum, with: { share: 2 } }]'],
  ])('refuses %s', (_what, line) => {
    expect(scenario(`${route}${line}\n`)).not.toEqual([]);
  });

  it('takes every key of the sky, and words that YAML reads as numbers', () => {
    const keys = 'systems: [gps, sbas], shift: true, out-of-service: [G05], leap-second: 2027-06-30';
    expect(scenario(`${route}sky: { navigation: ./x.rnx, ${keys} }\n`)).toEqual([]);
    expect(scenario(`${route}sky: { almanac: ./x.txt }\n`)).toEqual([]);
    const words = ['version: 4.10', 'version: "4.10"', 'untracked-cn0: 00', 'untracked-cn0: ""', 'unknown-dop: 99.99'];
    for (const word of words) expect(scenario(`${route}module: { ${word} }\n`), word).toEqual([]);
    expect(scenario(`${route}module: { unknown-dop: 0 }\n`)).not.toEqual([]);
  });

  it('takes a bare zero, every step and every form of a place', () => {
    const steps = [
      '{ hold: 3 s, at: 1 N 2 E }',
      '{ go: [[1, 2.1], 1.1 N 2 E], speed: 9 kn }',
      '{ track: ./x.gpx }',
      '{ repeat: 3, route: [{ repeat: 2, route: [{ hold: 3 s }] }] }',
    ];
    expect(scenario(`lodestub: 1\nroute: [${steps.join(', ')}]\ntimeline: [{ at: 0, fault: silence }]\n`)).toEqual([]);
  });

  it('has every kind of fault with its title', () => {
    const text = JSON.stringify(scenarioSchema);
    for (const { name, title } of FAULT_KINDS) {
      expect(text).toContain(`"const":"${name}"`);
      expect(text).toContain(JSON.stringify(title).slice(1, -1));
    }
  });
});

it('every key of both schemas is described', () => {
  for (const schema of [scenarioSchema, moduleSchema]) {
    for (const [key, each] of Object.entries(schema.properties as Record<string, Schema>)) {
      expect(each.description, key).toBeTypeOf('string');
    }
  }
});
