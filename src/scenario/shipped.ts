import { basename, dirname, isAbsolute, join } from 'node:path';
import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import { resolveDialect } from './dialect.js';
import {
  isFileName,
  type Listed,
  listFolder,
  NODE_FILES,
  namesIn,
  readFailure,
  readHint,
  SCENARIOS_FOLDER,
  shippedFile,
  shownPath,
} from './files.js';
import { readModule, unknownModule } from './module.js';
import type { FileReader, Module } from './scenario.js';

export { NODE_FILES, readFailure, readHint, shownPath } from './files.js';

const MODULES_FOLDER = join(SCENARIOS_FOLDER, 'modules');

/** The scenario that is played where none is named. */
export const BUILT_IN_SCENARIO = 'harbour-pilot';
/** The module that is played where none is named. */
export const DEFAULT_MODULE = 'single-band-9600';

/** The scenarios that come with Lodestub, by name. */
export async function listScenarios(): Promise<Listed[]> {
  return listFolder(SCENARIOS_FOLDER, 'scenario');
}

/** The module profiles that come with Lodestub, by name. */
export async function listModules(): Promise<Listed[]> {
  return listFolder(MODULES_FOLDER, 'module');
}

/**
 * The file of a scenario given by name or as a file (with `/` or `.yaml` in it).
 * @throws LodestubError `scenario.missing` for a name that no shipped scenario has
 */
export async function findScenario(nameOrPath: string): Promise<string> {
  if (isFileName(nameOrPath)) return nameOrPath;
  const known = await namesIn(SCENARIOS_FOLDER);
  if (known.includes(nameOrPath)) return shippedFile(SCENARIOS_FOLDER, nameOrPath);
  throw new LodestubError({
    code: 'scenario.missing',
    expected: 'the name of a scenario, or a file (with / or .yaml in it)',
    received: JSON.stringify(nameOrPath),
    hint: suggest(nameOrPath, known),
  });
}

/**
 * A module profile by name, or from a file.
 * @param nameOrPath a name that {@link listModules} gives; with `/` or `.yaml` in it a file, relative to `baseFolder`
 * @throws LodestubError `module.…`
 */
export async function resolveModule(
  nameOrPath: string,
  baseFolder = '',
  files: FileReader = NODE_FILES,
): Promise<Module> {
  if (isFileName(nameOrPath)) {
    const path = isAbsolute(nameOrPath) ? nameOrPath : join(baseFolder, nameOrPath);
    let text: string;
    try {
      text = await files.readText(path);
    } catch (error) {
      const path_ = shownPath(path);
      const detail = { path: path_, summary: readFailure(error), ...readHint(error), cause: error };
      throw new LodestubError({ code: 'module.missing', ...detail });
    }
    const profile = readModule(text, shownPath(path), basename(path).replace(/\.ya?ml$/i, ''));
    return { ...profile, dialect: await resolveDialect(profile.dialectName, dirname(path), files) };
  }
  const known = SHIPPED.get(nameOrPath);
  if (known !== undefined) return known;
  const module = await shippedModule(nameOrPath);
  SHIPPED.set(nameOrPath, module);
  return module;
}

/** Shipped profiles that have been read: their files do not change while the program runs. */
const SHIPPED = new Map<string, Module>();

async function shippedModule(name: string): Promise<Module> {
  const known = await namesIn(MODULES_FOLDER);
  if (!known.includes(name)) throw unknownModule(name, suggest(name, known));
  const file = shippedFile(MODULES_FOLDER, name);
  const profile = readModule(await NODE_FILES.readText(file), shownPath(file), name);
  return { ...profile, dialect: await resolveDialect(profile.dialectName, MODULES_FOLDER, NODE_FILES) };
}
