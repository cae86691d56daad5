import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import ts from 'typescript';

const source = new URL('../../../src/', import.meta.url).pathname;

/**
 * Compiles a few source files, for a test that has to run them in a process of its own. @param names such as
 * `base/error`
 */
export function compileInto(folder: string, names: readonly string[]): void {
  writeFileSync(join(folder, 'package.json'), '{"type":"module"}');
  for (const name of names) {
    const { outputText } = ts.transpileModule(readFileSync(join(source, `${name}.ts`), 'utf8'), {
      compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ES2022 },
    });
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    writeFileSync(join(folder, `${name}.js`), outputText);
  }
}
