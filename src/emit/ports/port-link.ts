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

/** So many links in a row that belong to others end the search for a free one. */
const MOST_TAKEN = 1000;

/** A link that goes with its port, and comes back under the same or another name. */
export class MovingLink {
  private pathNow: string;
  private target: string | null = null;
  private count = 1;

  constructor(private readonly basePath: string) {
    this.pathNow = basePath;
  }

  /** Its name at present, or when it was last there. */
  get path(): string {
    return this.pathNow;
  }

  /** Makes it under the name that it had. @throws LodestubError as {@link makeLink} */
  make(target: string): void {
    makeLink(this.pathNow, target);
    this.target = target;
  }

  /** Makes it under the next free name: the first name with -2, -3, … @throws LodestubError as {@link makeLink} */
  makeNext(target: string): void {
    for (let attempt = 1; ; attempt++) {
      this.count++;
      this.pathNow = `${this.basePath}-${this.count}`;
      try {
        this.make(target);
        return;
      } catch (error) {
        if (!(error instanceof LodestubError) || error.code !== 'link.taken' || attempt === MOST_TAKEN) throw error;
      }
    }
  }

  /** Removes it if it still points to the port; never throws. */
  remove(): void {
    if (this.target !== null) removeLinkSync(this.pathNow, this.target);
    this.target = null;
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
