import { LodestubError } from '../base/error.js';
import { LineFile } from '../emit/ports/line-file.js';
import type { JournalSink } from '../truth/journal.js';

/** A journal file: opened before the run, closed at its end. */
export interface JournalFile {
  readonly sink: JournalSink;
  close(): void;
}

/**
 * Opens a journal. A file that is not an earlier journal is left alone, unless `force`.
 * @throws LodestubError `out.…`
 */
export function openJournal(path: string, force: boolean): JournalFile {
  const file = LineFile.open(path, { force, isOwn: (head) => head.startsWith('{"type":"run","format":1,') });
  return { sink: (line) => file.append(`${line}\n`), close: () => file.close() };
}

/** Tells a run to end: by Ctrl-C, a request to terminate, or a failure. */
export class Stop {
  isStopped = false;
  failure: Error | null = null;
  readonly #onSignal = () => {
    this.isStopped = true;
  };

  constructor() {
    process.on('SIGINT', this.#onSignal);
    process.on('SIGTERM', this.#onSignal);
    process.on('SIGHUP', this.#onSignal);
  }

  fail(error: Error): void {
    this.failure ??= error;
    this.isStopped = true;
  }

  /** Signals have their usual effect again. */
  release(): void {
    for (const name of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.off(name, this.#onSignal);
  }
}

/** Prints a failure of a run that had begun; a broken invariant goes on as it is. */
export function reportFailure(error: Error): void {
  if (!(error instanceof LodestubError)) throw error;
  process.stderr.write(`${error.message}\n`);
}
