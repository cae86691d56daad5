import { lstatSync, mkdtempSync, rmdirSync, rmSync, statSync, unlinkSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { LodestubError } from '../base/error.js';

/** Where a control socket stands. */
export interface SocketPlace {
  readonly path: string;
  /** No socket was made there: a folder that was made for it goes. Never throws. */
  leave(): void;
  /** Removes what is left of it; never throws, so that it can be called when the process ends. */
  remove(): void;
}

/** The longest path of a socket that Linux and macOS take, bytes. */
const LONGEST_PATH = 103;

/**
 * A place for a control socket: one that was asked for, or one in a fresh folder that only the owner can enter.
 * @param wanted null: none was asked for
 * @throws LodestubError `control.taken`, `control.failed`
 */
export async function placeForSocket(wanted: string | null): Promise<SocketPlace> {
  if (wanted !== null) {
    checkLength(wanted);
    await makeRoom(wanted);
    return { path: wanted, leave: () => {}, remove: () => quietly(() => unlinkSync(wanted)) };
  }
  const folder = freshFolder();
  const path = join(folder, 'control');
  const leave = () => quietly(() => rmdirSync(folder));
  try {
    checkLength(path);
  } catch (error) {
    leave();
    throw error;
  }
  return {
    path,
    leave,
    remove: () => {
      quietly(() => rmSync(path, { force: true }));
      leave();
    },
  };
}

/** A new folder of mode 0700, where the system keeps such things of one user, or in the folder for temporary files. */
function freshFolder(): string {
  const runtime = process.env.XDG_RUNTIME_DIR;
  for (const parent of runtime === undefined || runtime === '' ? [tmpdir()] : [runtime, tmpdir()]) {
    try {
      return mkdtempSync(join(parent, 'lodestub-'));
    } catch (error) {
      if (parent === tmpdir()) throw failed(parent, error as NodeJS.ErrnoException);
    }
  }
  throw new Error('no folder was tried');
}

function checkLength(path: string): void {
  const bytes = Buffer.byteLength(path);
  if (bytes <= LONGEST_PATH) return;
  const hint = 'Choose a shorter one with --control PATH.';
  const received = `one of ${bytes}`;
  throw new LodestubError({
    code: 'control.failed',
    path,
    expected: `a path of up to ${LONGEST_PATH} bytes`,
    received,
    hint,
  });
}

/** Takes away a socket that nobody listens on any more: a run that was killed has left it. */
async function makeRoom(path: string): Promise<void> {
  const there = ask(path, () => lstatSync(path, { throwIfNoEntry: false }));
  if (there === undefined) {
    const folder = ask(path, () => statSync(dirname(path), { throwIfNoEntry: false }));
    if (folder?.isDirectory() === true) return;
    const hint = 'Choose a path in a folder that exists.';
    throw new LodestubError({ code: 'control.failed', path, summary: 'its folder does not exist', hint });
  }
  if (!there.isSocket()) throw taken(path, there.isDirectory() ? 'a folder' : 'another file');
  if (await isAlive(path)) throw taken(path, 'a socket that a program listens on');
  ask(path, () => unlinkSync(path));
}

/** @throws LodestubError `control.failed` where the system refuses */
function ask<Result>(path: string, act: () => Result): Result {
  try {
    return act();
  } catch (error) {
    throw failed(path, error as NodeJS.ErrnoException);
  }
}

function isAlive(path: string): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(path);
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', (error: NodeJS.ErrnoException) => resolve(error.code !== 'ECONNREFUSED'));
  });
}

function taken(path: string, received: string): LodestubError {
  const hint = 'Remove it, or choose another path.';
  return new LodestubError({ code: 'control.taken', path, expected: 'nothing, or an old socket', received, hint });
}

/** An error of the system about a path. */
export function failed(path: string, cause: NodeJS.ErrnoException): LodestubError {
  const summary = `the control socket cannot be made (${cause.code ?? cause.message})`;
  const hint = 'Choose another path with --control PATH, or use --no-control.';
  return new LodestubError({ code: 'control.failed', path, summary, hint, cause });
}

function quietly(act: () => void): void {
  try {
    act();
  } catch {
    // It is gone, or not ours to remove.
  }
}
