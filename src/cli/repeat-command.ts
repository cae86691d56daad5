import { closeSync, openSync, readSync } from 'node:fs';
import { LodestubError } from '../base/error.js';
import { VERSION } from '../base/version.js';
import { repeatOf } from '../control/repeat.js';
import { LineFile } from '../emit/ports/line-file.js';
import { readFailure } from '../scenario/files.js';
import { journalRecords } from '../truth/journal-reader.js';
import type { JournalRecord } from '../truth/journal-record.js';

interface RepeatOptions {
  readonly out: string;
  readonly force?: boolean;
}

/** `lodestub repeat`: makes of a journal a scenario that repeats the run. @returns the exit code */
export async function repeatCommand(journal: string, { out, force = false }: RepeatOptions): Promise<number> {
  // A scenario may have been edited since: none is replaced unasked.
  const options = { force, isOwn: () => false };
  LineFile.check(out, options);
  const fd = orMissing(journal, () => openSync(journal, 'r'));
  let text: string;
  try {
    const read = (into: Uint8Array) => orMissing(journal, () => readSync(fd, into));
    text = await repeatOf(tellingVersion(journalRecords(read, journal)), out);
  } finally {
    closeSync(fd);
  }
  const file = LineFile.open(out, options);
  file.append(`# Repeats a run, made by lodestub repeat of its journal.\n${text}`);
  file.close();
  return 0;
}

/** @throws LodestubError `journal.missing` in place of an error of the system */
function orMissing<T>(path: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    const hint = 'Name the file that --journal wrote.';
    throw new LodestubError({ code: 'journal.missing', path, summary: readFailure(error), hint, cause: error });
  }
}

/** Another version may send other bytes. */
function* tellingVersion(records: Iterable<JournalRecord>): Generator<JournalRecord, void> {
  for (const record of records) {
    if (record.type === 'run' && record.version !== VERSION) {
      const summary = `the run was one of version ${record.version}, this is ${VERSION}`;
      process.stderr.write(`${summary}: the same scenario may give other bytes\n`);
    }
    yield record;
  }
}
