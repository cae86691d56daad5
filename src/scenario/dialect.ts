import type { Dialect } from '../dialect/command.js';
import { DEAF } from '../dialect/deaf.js';
import type { FileReader } from './scenario.js';

/**
 * A dialect by name, or from a file.
 * @param name `none`, a name of a shipped one, or with `/` or `.yaml` in it a file, relative to `baseFolder`
 * @throws LodestubError `dialect.…`
 */
export async function resolveDialect(_name: string, _baseFolder: string, _files: FileReader): Promise<Dialect> {
  return DEAF;
}
