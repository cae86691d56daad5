import { appendFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { LodestubError } from '../base/error.js';
import { LineFile } from '../emit/ports/line-file.js';

/** A case's id as the name of a file. */
export function fileNameOf(id: string): string {
  return id.replaceAll('/', '_').replace(/[^\w.-]/g, '-');
}

/** A fresh folder for a case, and what removes it with all that is in it. */
export function freshFolder(): { readonly path: string; readonly remove: () => void } {
  const path = mkdtempSync(join(tmpdir(), 'lodestub-case-'));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

/** What of a case is kept: journal, stream, and what the host wrote. */
export interface KeptFiles {
  journal(line: string): void;
  /** Bytes that were handed to the port, a character each (latin1). */
  stream(bytes: string): void;
  host(line: string): void;
  close(): void;
}

/** Keeps nothing. */
const NOTHING: KeptFiles = { journal: () => {}, stream: () => {}, host: () => {}, close: () => {} };

/**
 * Opens a case's files below a folder, in place of those of an earlier trial.
 * @param folder null: nothing is kept
 * @throws LodestubError `trial.keep`
 */
export function keepFiles(folder: string | null, id: string): KeptFiles {
  if (folder === null) return NOTHING;
  const path = join(folder, fileNameOf(id));
  try {
    mkdirSync(path, { recursive: true });
    const hostFile = join(path, 'host.txt');
    writeFileSync(hostFile, '');
    const options = { force: true, isOwn: () => true };
    const journal = LineFile.open(join(path, 'journal.jsonl'), options);
    const stream = LineFile.open(join(path, 'stream.nmea'), options);
    return {
      journal: (line) => journal.append(`${line}\n`),
      stream: (bytes) => stream.appendLatin1(bytes),
      host: (line) => appendFileSync(hostFile, `${line}\n`),
      close: () => {
        journal.close();
        stream.close();
      },
    };
  } catch (error) {
    const summary = (error as Error).message;
    throw new LodestubError({ code: 'trial.keep', path: `--keep ${folder}`, summary, cause: error });
  }
}
