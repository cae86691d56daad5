import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { VERSION } from '../../src/base/version.js';
import { importsOf, nodesOf, parse, placeOf, ROOT, type SourceFile, sourceFiles } from './source-files.js';

const LONGEST_FILE = 400;
const LONGEST_LINE = 120;
const SOURCES = sourceFiles('src');
const TESTS = sourceFiles('tests');

/** Words for work left over; put together here so that this file does not hold them. */
const LEFT_OVER = new RegExp(`\\b(${['TO' + 'DO', 'FIX' + 'ME', 'XX' + 'X'].join('|')})\\b`);

describe('every file', () => {
  it(`has at most ${LONGEST_FILE} lines of at most ${LONGEST_LINE} columns`, () => {
    const found: string[] = [];
    for (const { path, text } of [...SOURCES, ...TESTS]) {
      const lines = text.split('\n');
      if (lines.length > LONGEST_FILE + 1) found.push(`${path}: ${lines.length - 1} lines`);
      // What an authority published is quoted as it is, in a long literal if need be.
      const isQuoting = path.startsWith('tests/');
      for (const [i, line] of lines.entries()) {
        if (line.length > LONGEST_LINE && !(isQuoting && /['"`]|^\s*\/[^/*]/.test(line))) {
          found.push(`${path}:${i + 1}: ${line.length} columns`);
        }
      }
    }
    expect(found).toEqual([]);
  });

  it('has a name in kebab-case', () => {
    const wrong = SOURCES.filter(
      ({ path }) => !/^src\/([a-z0-9]+(-[a-z0-9]+)*\/)*[a-z0-9]+(-[a-z0-9]+)*\.tsx?$/.test(path),
    );
    expect(wrong.map(({ path }) => path)).toEqual([]);
  });

  it('leaves no work over', () => {
    const found: string[] = [];
    for (const { path, text } of [...SOURCES, ...TESTS]) {
      for (const [i, line] of text.split('\n').entries()) if (LEFT_OVER.test(line)) found.push(`${path}:${i + 1}`);
    }
    expect(found).toEqual([]);
  });

  it('has no test that is skipped without its reason, left out or alone', () => {
    const found: string[] = [];
    for (const file of TESTS) {
      for (const node of nodesOf(file.tree)) {
        if (!ts.isPropertyAccessExpression(node) || !ts.isIdentifier(node.expression)) continue;
        const isTest = ['it', 'test', 'describe'].includes(node.expression.text);
        if (isTest && ['skip', 'only', 'todo'].includes(node.name.text)) found.push(placeOf(file, node));
      }
    }
    expect(found).toEqual([]);
  });
});

/** Calls that would signal every process of the user: on what node-pty's open() returns. */
function deadlyCalls(file: SourceFile): string[] {
  if (!importsOf(file).some(({ from }) => from === 'node-pty')) return [];
  const terminals = new Set<string>();
  for (const node of nodesOf(file.tree)) {
    const isOpen = (value: ts.Node | undefined) => value !== undefined && /\.open\(/.test(value.getText(file.tree));
    if (ts.isVariableDeclaration(node) && isOpen(node.initializer)) terminals.add(node.name.getText(file.tree));
    if (ts.isBinaryExpression(node) && isOpen(node.right)) terminals.add(node.left.getText(file.tree));
  }
  return [...nodesOf(file.tree)].flatMap((node) => {
    if (!ts.isPropertyAccessExpression(node) || !/^(destroy|kill)$/.test(node.name.text)) return [];
    const on = node.expression.getText(file.tree);
    return node.name.text === 'kill' || terminals.has(on) || /\.open\(/.test(on)
      ? [`${placeOf(file, node)}: ${on}`]
      : [];
  });
}

describe('the pseudo-terminal', () => {
  it("is never ended through node-pty's own destroy() or kill()", () => {
    expect(SOURCES.filter(({ path }) => path.startsWith('src/emit/ports/')).flatMap(deadlyCalls)).toEqual([]);
  });

  it.each(['terminal.destroy();', 'terminal.kill();', 'pty.open({}).destroy();'])('would be caught with %s', (call) => {
    const text = `const pty = await import('node-pty');\nconst terminal = pty.open({});\n${call}\nterminal.slave.destroy();\n`;
    expect(deadlyCalls(parse('src/emit/ports/example.ts', text))).toHaveLength(1);
  });
});

describe('the version', () => {
  it('is the one of package.json', () => {
    const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
    expect(VERSION).toBe(version);
  });
});
