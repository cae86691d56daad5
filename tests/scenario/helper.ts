import { LodestubError } from '../../src/base/error.js';
import { type ReadOptions, readScenario } from '../../src/scenario/read.js';
import type { FileReader, Scenario } from '../../src/scenario/scenario.js';

/** Files that exist only in a test. */
export function inMemory(files: Readonly<Record<string, string>>): FileReader {
  return {
    readText(path) {
      const text = files[path];
      if (text === undefined) throw Object.assign(new Error('none'), { code: 'ENOENT' });
      return text;
    },
  };
}

/** The least that a scenario must have, on lines of its own. */
export const LEAST = 'lodestub: 1\nroute:\n  - { hold: 90 s, at: [63.4305, 10.3951, 12 m] }\n';

/** Reads a scenario that stands in `lap.yaml`, and names files given. */
export function read(
  text: string,
  files: Readonly<Record<string, string>> = {},
  more: Partial<ReadOptions> = {},
): Promise<Scenario> {
  return readScenario(text, { file: 'lap.yaml', baseFolder: 'folder', files: inMemory(files), ...more });
}

/** What is said of a scenario that must not pass. */
export async function errorOf(text: string, files: Readonly<Record<string, string>> = {}): Promise<LodestubError> {
  try {
    await read(text, files);
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('the scenario was read without an error');
}
