import { existsSync, lstatSync, readlinkSync, symlinkSync, unlinkSync } from 'node:fs';
import { LodestubError } from '../../base/error.js';

/**
 * Makes a symbolic link with a stable name to a port. A link that points nowhere, or to this very port (left by a run
 * that was killed), is replaced.
 * @param linkPath where the link goes
 * @param target the port's path
 * @throws LodestubError `link.taken` when anything else is there (it is left as it is), `link.failed` when no link
 *   can be made
 */
export function makeLink(linkPath: string, target: string): void {
  try {
    const there = lstatSync(linkPath, { throwIfNoEntry: false });
    if (there !== undefined) {
      if (!there.isSymbolicLink()) throw taken(linkPath, there.isDirectory() ? 'a folder' : 'a file');
      // A killed run's link may point to our own new port: the system gives freed numbers out again.
      const old = readlinkSync(linkPath);
      if (old !== target && existsSync(linkPath)) throw taken(linkPath, `a link to ${old}, which exists`);
      unlinkSync(linkPath);
    }
    symlinkSync(target, linkPath);
  } catch (error) {
    if (error instanceof LodestubError) throw error;
    const cause = error as NodeJS.ErrnoException;
    if (cause.code === 'EEXIST') throw taken(linkPath, 'something that another program has just made');
    throw new LodestubError({
      code: 'link.failed',
      path: linkPath,
      summary: `the link cannot be made (${cause.code ?? cause.message})`,
      hint: 'Choose a path in a folder that exists and can be written.',
      cause,
    });
  }
}

/**
 * Removes a link made by {@link makeLink} if it still points to the same port; never throws, so that it can be called
 * from a process's `exit` handler.
 */
export function removeLinkSync(linkPath: string, target: string): void {
  try {
    if (readlinkSync(linkPath) === target) unlinkSync(linkPath);
  } catch {
    // Somebody else has removed or replaced it: nothing of ours is left.
  }
}

function taken(path: string, received: string): LodestubError {
  return new LodestubError({
    code: 'link.taken',
    path,
    expected: 'nothing, or a link that points nowhere',
    received,
    hint: 'Remove it, or choose another path.',
  });
}
