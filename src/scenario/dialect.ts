import { basename, isAbsolute, join } from 'node:path';
import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import type { Dialect } from '../dialect/command.js';
import { DEAF } from '../dialect/deaf.js';
import { dialectOf } from '../dialect/dialect.js';
import { buildDialect } from './dialect-build.js';
import { DIALECT_SCHEMA } from './dialect-schema.js';
import { readYaml } from './document.js';
import { explain } from './explain.js';
import {
  isFileName,
  type Listed,
  listFolder,
  NODE_FILES,
  namesIn,
  readFailure,
  SCENARIOS_FOLDER,
  shippedFile,
  shownPath,
} from './files.js';
import type { FileReader } from './scenario.js';

const DIALECTS_FOLDER = join(SCENARIOS_FOLDER, 'dialects');

/** Dialects that come with Lodestub, by name. */
export async function listDialects(): Promise<Listed[]> {
  return listFolder(DIALECTS_FOLDER, 'dialect');
}

/**
 * Reads a dialect's file.
 * @param file its name, for messages
 * @param name the dialect's name
 * @throws LodestubError `dialect.…`
 */
export function readDialect(text: string, file: string, name: string): Dialect {
  const document = readYaml(text, file, 'dialect');
  const result = DIALECT_SCHEMA.safeParse(document.value);
  if (!result.success) throw explain(document, result.error.issues, () => null);
  return dialectOf(buildDialect(result.data, name, document));
}

/**
 * A dialect by name, or from a file.
 * @param name `none`, a name of a shipped one, or with `/` or `.yaml` in it a file, relative to `baseFolder`
 * @throws LodestubError `dialect.…`
 */
export async function resolveDialect(name: string, baseFolder: string, files: FileReader): Promise<Dialect> {
  if (name === DEAF.name) return DEAF;
  if (isFileName(name)) {
    const path = isAbsolute(name) ? name : join(baseFolder, name);
    return readFrom(path, basename(path).replace(/\.ya?ml$/i, ''), files);
  }
  const dialect = SHIPPED.get(name) ?? (await shippedDialect(name));
  SHIPPED.set(name, dialect);
  return dialect;
}

/** Shipped dialects that have been read: their files do not change while the program runs. */
const SHIPPED = new Map<string, Dialect>();

async function shippedDialect(name: string): Promise<Dialect> {
  const known = await namesIn(DIALECTS_FOLDER);
  if (known.includes(name)) return readFrom(shippedFile(DIALECTS_FOLDER, name), name, NODE_FILES);
  throw new LodestubError({
    code: 'dialect.unknown-name',
    expected: 'none, the name of a dialect, or a file (with / or .yaml in it)',
    received: JSON.stringify(name),
    hint: suggest(name, [...known, DEAF.name]),
  });
}

async function readFrom(path: string, name: string, files: FileReader): Promise<Dialect> {
  let text: string;
  try {
    text = await files.readText(path);
  } catch (error) {
    throw new LodestubError({
      code: 'dialect.missing',
      path: shownPath(path),
      summary: readFailure(error),
      hint: 'A dialect that a module names is relative to the module.',
      cause: error,
    });
  }
  return readDialect(text, shownPath(path), name);
}
