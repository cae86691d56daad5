import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** A source file, read and parsed. */
export interface SourceFile {
  /** Relative to the project, with `/`. */
  readonly path: string;
  readonly text: string;
  readonly tree: ts.SourceFile;
}

/** Every TypeScript file below a folder of the project, by path. */
export function sourceFiles(folder: string): SourceFile[] {
  return readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort()
    .map((file) => {
      const path = relative(ROOT, file).replaceAll('\\', '/');
      return parse(path, readFileSync(file, 'utf8'));
    });
}

export function parse(path: string, text: string): SourceFile {
  return { path, text, tree: ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true) };
}

/** `file:line` of a node. */
export function placeOf({ path, tree }: SourceFile, node: ts.Node): string {
  return `${path}:${tree.getLineAndCharacterOfPosition(node.getStart(tree)).line + 1}`;
}

/** Every node of a tree. */
export function* nodesOf(node: ts.Node): Generator<ts.Node> {
  yield node;
  const children: ts.Node[] = [];
  ts.forEachChild(node, (child) => {
    children.push(child);
  });
  for (const child of children) yield* nodesOf(child);
}

/** What a file imports, static and dynamic, with its place. */
export function importsOf(file: SourceFile): { readonly from: string; readonly place: string }[] {
  const found: { from: string; place: string }[] = [];
  for (const node of nodesOf(file.tree)) {
    let target: ts.Node | undefined;
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) target = node.moduleSpecifier;
    else if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      target = node.arguments[0];
    } else if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument)) target = node.argument.literal;
    if (target !== undefined && ts.isStringLiteralLike(target)) {
      found.push({ from: target.text, place: placeOf(file, node) });
    }
  }
  return found;
}
