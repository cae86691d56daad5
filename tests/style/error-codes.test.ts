import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { ERROR_CODES } from '../../src/cli/error-codes.js';
import { nodesOf, placeOf, type SourceFile, sourceFiles } from './source-files.js';

const SOURCES = sourceFiles('src');
const CODE = /^[a-z]+\.[a-z-]+$/;

interface Found {
  readonly code: string;
  readonly place: string;
}

/** Texts in an expression. */
function textsIn(node: ts.Node): string[] {
  return [...nodesOf(node)].filter(ts.isStringLiteral).map(({ text }) => text);
}

/** The codes that a file's errors have as literals: in an error's detail, a variable `code`, a table. */
function codesOf(file: SourceFile): Found[] {
  const found: Found[] = [];
  const subjects = new Set(Object.keys(ERROR_CODES).map((code) => code.split('.')[0]));
  for (const node of nodesOf(file.tree)) {
    if (ts.isPropertyAssignment(node) && node.name.getText(file.tree) === 'code' && isErrorDetail(node.parent)) {
      for (const code of textsIn(node.initializer)) found.push({ code, place: placeOf(file, node) });
    }
    if (ts.isVariableDeclaration(node) && node.name.getText(file.tree) === 'code' && node.initializer !== undefined) {
      for (const code of textsIn(node.initializer)) {
        if (subjects.has(code.split('.')[0])) found.push({ code, place: placeOf(file, node) });
      }
    }
    const isInTable = ts.isStringLiteral(node) && ts.isArrayLiteralExpression(node.parent);
    if (isInTable && CODE.test(node.text) && subjects.has(node.text.split('.')[0])) {
      found.push({ code: node.text, place: placeOf(file, node) });
    }
  }
  return found;
}

/** An issue of the schema has a code too; an error's detail is what LodestubError takes. */
function isErrorDetail({ parent }: ts.Node): boolean {
  return ts.isNewExpression(parent) && parent.expression.getText() === 'LodestubError';
}

/** The endings of codes whose beginning is the subject, scenario or module: kinds of mistakes, and templates. */
function endings(): Set<string> {
  const found = new Set<string>();
  for (const { tree, path } of SOURCES) {
    if (!path.startsWith('src/scenario/') && path !== 'src/base/quantity-schema.ts') continue;
    for (const node of nodesOf(tree)) {
      if (ts.isPropertyAssignment(node) && node.name.getText(tree) === 'kind') {
        for (const text of textsIn(node.initializer)) found.add(text);
      }
      if (ts.isTemplateTail(node) && /^\.[a-z-]+$/.test(node.text)) found.add(node.text.slice(1));
    }
  }
  return found;
}

const ALL = SOURCES.flatMap(codesOf);

describe('error codes', () => {
  it('are two words with a point between', () => {
    expect(ALL.length).toBeGreaterThan(40);
    expect(ALL.filter(({ code }) => !CODE.test(code)).map(({ code, place }) => `${place}: ${code}`)).toEqual([]);
    for (const code of Object.keys(ERROR_CODES)) expect(code).toMatch(CODE);
  });

  it('that are thrown are listed', () => {
    const missing = ALL.filter(({ code }) => !Object.hasOwn(ERROR_CODES, code));
    expect(missing.map(({ code, place }) => `${place}: ${code}`)).toEqual([]);
  });

  it('that are listed are thrown', () => {
    const thrown = new Set(ALL.map(({ code }) => code));
    const built = endings();
    const dead = Object.keys(ERROR_CODES).filter((code) => {
      const [subject, ending] = code.split('.') as [string, string];
      return !thrown.has(code) && !(['scenario', 'module', 'dialect', 'trial'].includes(subject) && built.has(ending));
    });
    expect(dead).toEqual([]);
  });

  it('are each described in one sentence', () => {
    for (const [code, meaning] of Object.entries(ERROR_CODES)) expect(meaning, code).toMatch(/^[A-Z].*\.$/);
  });
});
