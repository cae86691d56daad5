import { accessSync, constants, statSync } from 'node:fs';
import { delimiter, resolve } from 'node:path';
import type { HostSettings } from './host-schema.js';
import { placeholdersIn } from './placeholders.js';
import { folderError, startError } from './start-error.js';

/**
 * Finds out, before any case is played, whether a host's folder and program are there.
 * @param baseFolder the folder of the trial's file
 * @throws LodestubError `trial.host-folder`, `trial.host-missing`, `trial.host-denied`
 */
export function checkHost(host: HostSettings, baseFolder: string): void {
  if (host === 'already-running') return;
  const folder = resolve(baseFolder, host.folder);
  const what = statSync(folder, { throwIfNoEntry: false });
  if (what?.isDirectory() !== true) throw folderError(folder, what !== undefined);
  const file = host.command[0] as string;
  // One that is named by the case is looked for when it is started.
  if (placeholdersIn(file).length > 0 || 'PATH' in host.environment || process.platform === 'win32') return;
  const folders = file.includes('/')
    ? [folder]
    : (process.env.PATH ?? '').split(delimiter).filter((each) => each !== '');
  let problem: NodeJS.ErrnoException | null = null;
  for (const each of folders) {
    try {
      accessSync(resolve(each, file), constants.X_OK);
      return;
    } catch (error) {
      // The first that is there and may not be run says more than one that is not there.
      if (problem === null || problem.code === 'ENOENT') problem = error as NodeJS.ErrnoException;
    }
  }
  throw startError(problem ?? Object.assign(new Error(file), { code: 'ENOENT' }), file, folder, process.env);
}
