import { readdir, readFile, stat } from 'node:fs/promises';
import { basename, isAbsolute, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { readYaml } from './document.js';
import type { FileReader } from './scenario.js';

/** The folder of shipped scenarios; the same depth from `src/scenario` and from `dist/scenario`. */
export const SCENARIOS_FOLDER = fileURLToPath(new URL('../../scenarios', import.meta.url));

/** The largest file that is read as text, bytes: a track of some days. */
const MAX_FILE_BYTES = 64_000_000;

/** A shipped scenario, module profile or dialect. */
export interface Listed {
  readonly name: string;
  readonly title: string;
  readonly file: string;
}

/** Reads files of the machine as UTF-8. */
export const NODE_FILES: FileReader = {
  async readText(path) {
    const status = await stat(path);
    // A folder, or a pipe that nobody writes to, would fail late or never.
    if (!status.isFile()) throw new Error('it is not a file');
    if (status.size > MAX_FILE_BYTES) throw new Error(`it has ${status.size} bytes, ${MAX_FILE_BYTES} are allowed`);
    const bytes = await readFile(path);
    return isGzip(bytes) ? gunzip(bytes) : bytes.toString('utf8');
  },
};

function isGzip(bytes: Buffer): boolean {
  return bytes[0] === 0x1f && bytes[1] === 0x8b;
}

function gunzip(bytes: Buffer): string {
  try {
    return gunzipSync(bytes, { maxOutputLength: MAX_FILE_BYTES }).toString('utf8');
  } catch (error) {
    const what = 'its compression (gzip) is damaged, or too much is in it';
    throw new Error(`${what} (${(error as Error).message}): fetch it again`, { cause: error });
  }
}

/** True where a name of a scenario or module means a file. */
export function isFileName(name: string): boolean {
  return name.includes('/') || name.includes('\\') || /\.ya?ml$/i.test(name);
}

/** A file's name as messages show it: relative to the working directory where it is below it. */
export function shownPath(path: string): string {
  if (!isAbsolute(path)) return path;
  const short = relative('', path);
  return short === '' || short.startsWith('..') ? path : short;
}

/** Why a file could not be read, in words. */
export function readFailure(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code;
  const words: Record<string, string> = {
    ENOENT: 'there is no such file',
    ENOTDIR: 'there is no such file',
    EACCES: 'reading it is not allowed',
    EPERM: 'reading it is not allowed',
    EISDIR: 'it is not a file',
    ENAMETOOLONG: 'the name is too long',
  };
  return words[code ?? ''] ?? (error as Error).message;
}

/** The way out, for a file that a scenario names; nothing where it is there and its content is at fault. */
export function readHint(error: unknown): { hint?: string } {
  const isFound = !['ENOENT', 'ENOTDIR'].includes((error as NodeJS.ErrnoException).code ?? '');
  return isFound ? {} : { hint: 'A file that a scenario names is relative to the scenario.' };
}

/** The names of what a folder of shipped files holds. */
export async function namesIn(folder: string): Promise<string[]> {
  return (await readdir(folder))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => basename(file, '.yaml'))
    .sort();
}

/** The file of something shipped. */
export function shippedFile(folder: string, name: string): string {
  return join(folder, `${name}.yaml`);
}

/** What a folder of shipped files holds, by name, with titles. @param subject the first part of error codes */
export async function listFolder(folder: string, subject: string): Promise<Listed[]> {
  return Promise.all(
    (await namesIn(folder)).map(async (name) => {
      const file = shippedFile(folder, name);
      const { value } = readYaml(await readFile(file, 'utf8'), shownPath(file), subject);
      return { name, title: String(value.title ?? name), file };
    }),
  );
}
