import { createHash } from 'node:crypto';
import { closeSync, mkdirSync, mkdtempSync, openSync, readdirSync, readSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { LodestubError } from '../base/error.js';
import { LineFile } from '../emit/ports/line-file.js';

/** So much of what a host writes is kept, bytes. */
const MOST_HOST_BYTES = 100_000_000;

/** A case's id as the name of a file, another one for each id. */
export function fileNameOf(id: string): string {
  const name = id.replaceAll('/', '_').replace(/[^\w.-]/g, '-');
  const isPlain = /^[\w.-]+$/.test(id.replaceAll('/', '')) && !id.includes('_');
  return isPlain ? name : `${name}-${createHash('sha256').update(id).digest('hex').slice(0, 6)}`;
}

/** A fresh folder for a case, and what removes it with all that is in it. */
export function freshFolder(): { readonly path: string; readonly remove: () => void } {
  const path = mkdtempSync(join(tmpdir(), 'lodestub-case-'));
  const remove = () => {
    try {
      rmSync(path, { recursive: true, force: true, maxRetries: 3 });
    } catch {
      // A program that left the host's group still writes there.
    }
  };
  return { path, remove };
}

/** What of a case is kept: journal, stream, and what the host wrote. */
export interface KeptFiles {
  journal(line: string): void;
  /** Bytes that were handed to the port, a character each (latin1). */
  stream(bytes: string): void;
  host(line: string): void;
  /** Closes all of them. @throws LodestubError `out.…` for the first that could not be written */
  close(): void;
}

/** Finds out whether a case's files can be kept below a folder, which is made. @throws LodestubError `trial.keep` */
export function checkKept(folder: string | null, id: string): void {
  if (folder === null) return;
  const path = join(folder, fileNameOf(id));
  try {
    mkdirSync(path, { recursive: true });
  } catch (error) {
    const summary = (error as Error).message;
    throw new LodestubError({ code: 'trial.keep', path: `--keep ${folder}`, summary, cause: error });
  }
  if (isOurs(path)) return;
  const summary = `${path} has files that are not an earlier trial’s`;
  throw new LodestubError({ code: 'trial.keep', path: '--keep', summary, hint: 'Name another folder.' });
}

/** Whether a folder is an earlier trial's, or empty. */
function isOurs(path: string): boolean {
  try {
    const names = readdirSync(path);
    if (!names.every((name) => KEPT.includes(name)) || (names.length > 0 && names.length < KEPT.length)) return false;
    return names.length === 0 || ['', JOURNAL_HEAD].includes(headOf(join(path, FILES.journal), JOURNAL_HEAD.length));
  } catch {
    return false;
  }
}

/** The first so many bytes of a file, which may be long. */
function headOf(path: string, bytes: number): string {
  const fd = openSync(path, 'r');
  try {
    const head = Buffer.alloc(bytes);
    return head.toString('latin1', 0, readSync(fd, head));
  } finally {
    closeSync(fd);
  }
}

const JOURNAL_HEAD = '{"type":"run"';
const FILES = { journal: 'journal.jsonl', stream: 'stream.nmea', host: 'host.txt' } as const;
const KEPT: readonly string[] = Object.values(FILES);

/** Keeps nothing. */
const NOTHING: KeptFiles = { journal: () => {}, stream: () => {}, host: () => {}, close: () => {} };

/**
 * Opens a case's files below a folder, in place of those of an earlier trial.
 * @param folder null: nothing is kept
 * @param failed is told once of each file that cannot be written any longer
 * @throws LodestubError `trial.keep`
 */
export function keepFiles(folder: string | null, id: string, failed: (error: Error) => void): KeptFiles {
  if (folder === null) return NOTHING;
  const path = join(folder, fileNameOf(id));
  checkKept(folder, id);
  const open: LineFile[] = [];
  try {
    for (const name of KEPT) {
      open.push(LineFile.open(join(path, name), { force: true, isOwn: () => true }));
    }
  } catch (error) {
    for (const file of open) file.close();
    const summary = (error as Error).message;
    throw new LodestubError({ code: 'trial.keep', path: `--keep ${folder}`, summary, cause: error });
  }
  const [journal, stream, host] = open as [LineFile, LineFile, LineFile];
  const broken = new Set<LineFile>();
  const write = (file: LineFile, put: () => void) => {
    if (broken.has(file)) return;
    try {
      put();
    } catch (error) {
      broken.add(file);
      failed(error as Error);
    }
  };
  let hostBytes = 0;
  return {
    journal: (line) => write(journal, () => journal.append(`${line}\n`)),
    stream: (bytes) => write(stream, () => stream.appendLatin1(bytes)),
    host: (line) => {
      hostBytes += line.length;
      if (hostBytes <= MOST_HOST_BYTES) write(host, () => host.append(`${line}\n`));
    },
    close: () => {
      for (const file of open) write(file, () => file.close());
    },
  };
}
