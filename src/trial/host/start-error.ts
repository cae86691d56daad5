import { accessSync, constants, readdirSync, readFileSync } from 'node:fs';
import { delimiter, resolve } from 'node:path';
import { LodestubError } from '../../base/error.js';
import { nearestFirst } from '../../base/nearest.js';

const PATH = 'host.command';
/** So many letters may differ of a name that is proposed. */
const FAR = 2;

/** The error for the folder that a host was to run in. @param isOther something stands there that is no folder */
export function folderError(folder: string, isOther: boolean): LodestubError {
  return new LodestubError({
    code: 'trial.host-folder',
    path: 'host.folder',
    summary: `${folder} ${isOther ? 'is no folder' : 'does not exist'}`,
    hint: 'It is relative to the trial’s file.',
  });
}

/**
 * The error for a host that could not be started.
 * @param file the command's first word @param folder where it was to run @param environment what it was to have
 */
export function startError(
  cause: NodeJS.ErrnoException,
  file: string,
  folder: string,
  environment: NodeJS.ProcessEnv,
): LodestubError {
  const { code } = cause;
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return new LodestubError({ code: 'trial.host-missing', path: PATH, cause, ...missing(file, folder, environment) });
  }
  if (code === 'EACCES' || code === 'EPERM') {
    const summary = `${file} may not be run`;
    const hint = `Make it executable, or put its interpreter before it, such as [python3, ${file}].`;
    return new LodestubError({ code: 'trial.host-denied', path: PATH, summary, hint, cause });
  }
  const summary = `${file} cannot be started (${code ?? cause.message})`;
  return new LodestubError({ code: 'trial.host-failed', path: PATH, summary, cause });
}

function missing(file: string, folder: string, environment: NodeJS.ProcessEnv): { summary: string; hint: string } {
  const here = resolve(folder, file);
  if (file.includes('/')) {
    const interpreter = interpreterOf(here);
    if (interpreter !== null) {
      return {
        summary: `${file} is there, but not what its first line names: ${interpreter}`,
        hint: 'Put an interpreter that is there before it.',
      };
    }
    const name = file.slice(file.lastIndexOf('/') + 1);
    const near = nearOf(name, namesIn(resolve(here, '..')));
    const question = near === null ? '' : `Did you mean ${file.slice(0, -name.length)}${near}? `;
    return { summary: `no program ${here}`, hint: `${question}It is looked for relative to ${folder}.` };
  }
  if (isThere(here)) {
    return { summary: `no program ${file} on the PATH`, hint: `It is in the folder: write ./${file}.` };
  }
  const folders = (environment.PATH ?? '').split(delimiter).filter((each) => each !== '');
  const near = nearOf(file, new Set(folders.flatMap((each) => [...namesIn(each)])));
  const hint = near === null ? `A program in ${folder} is written ./${file}.` : `Did you mean ${near}?`;
  return { summary: `no program ${file} in the folders of the PATH (${folders.join(', ').slice(0, 300)})`, hint };
}

/** What a script's first line names; null: it is no script, or not there. */
function interpreterOf(file: string): string | null {
  try {
    return /^#!\s*(\S+)/.exec(readFileSync(file, 'latin1').slice(0, 200))?.[1] ?? null;
  } catch {
    return null;
  }
}

function isThere(file: string): boolean {
  try {
    accessSync(file, constants.F_OK);
    return true;
  } catch {
    return false;
  }
}

function namesIn(folder: string): Iterable<string> {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

/** The name that is written nearly so; null: none is. */
function nearOf(name: string, names: Iterable<string>): string | null {
  const alike = [...names].filter((each) => Math.abs(each.length - name.length) <= FAR && sharesLetters(each, name));
  return nearestFirst(name, alike)[0] ?? null;
}

/** True for names that differ in a letter or two: what is left without the common beginning and end is short. */
function sharesLetters(a: string, b: string): boolean {
  const shorter = Math.min(a.length, b.length);
  let begin = 0;
  while (begin < shorter && a[begin] === b[begin]) begin++;
  let end = 0;
  while (end < shorter - begin && a[a.length - 1 - end] === b[b.length - 1 - end]) end++;
  return Math.max(a.length, b.length) - begin - end <= FAR && begin + end > 0;
}
