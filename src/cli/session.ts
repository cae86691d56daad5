import { statSync } from 'node:fs';
import { LodestubError } from '../base/error.js';
import { LineFile } from '../emit/ports/line-file.js';
import type { ModulePort } from '../emit/ports/port.js';
import type { ModuleRun } from '../run/module-run.js';
import { describeVain, vainDemands } from '../run/port-deeds.js';
import type { Scenario } from '../scenario/scenario.js';
import type { JournalSink } from '../truth/journal.js';

/** A journal file: opened before the run, closed at its end. */
export interface JournalFile {
  readonly sink: JournalSink;
  flush(): void;
  close(): void;
}

/** An earlier journal, which may be replaced. */
const isJournal = (head: string) => head.startsWith('{"type":"run","format":1,');

/**
 * Opens a journal. A file that is not an earlier journal is left alone, unless `force`.
 * @throws LodestubError `out.…`
 */
export function openJournal(path: string, force: boolean): JournalFile {
  const file = LineFile.open(path, { force, isOwn: isJournal });
  return { sink: (line) => file.append(`${line}\n`), flush: () => file.flush(), close: () => file.close() };
}

/**
 * Finds out, before anything else is touched, whether the journal can be opened.
 * @param out the stream's file, where there is one
 * @throws LodestubError `out.…`, `command.conflict`
 */
export function checkJournal(path: string | undefined, force: boolean, out?: string): void {
  if (path === undefined) return;
  const refuseStream = () => {
    if (out === undefined || !isOneFile(path, out)) return;
    throw new LodestubError({
      code: 'command.conflict',
      path: '--journal',
      expected: 'another file than the stream’s',
      received: path,
      hint: 'Give each a name of its own.',
    });
  };
  refuseStream();
  LineFile.check(path, { force, isOwn: isJournal }, refuseStream);
}

/** Whether two names are there, and lead to one file: a device takes both. */
function isOneFile(a: string, b: string): boolean {
  try {
    const [one, other] = [statSync(a, { bigint: true }), statSync(b, { bigint: true })];
    return one.dev === other.dev && one.ino === other.ino && !one.isCharacterDevice();
  } catch {
    return false;
  }
}

/** Lines that say which of a scenario's faults its port cannot do; empty where it can do all. */
export function vainText(port: ModulePort, scenario: Scenario): string {
  const lines = vainDemands(port, scenario).map((demand) => `${describeVain(demand)}.\n`);
  return lines.join('');
}

/** Closes all, whatever fails on the way: what could be written is kept. */
export async function closeAll(stop: Stop, ...closers: readonly (() => void | Promise<void>)[]): Promise<void> {
  for (const close of closers) {
    try {
      await close();
    } catch (error) {
      stop.fail(error as Error);
    }
  }
}

/** After one file has failed: the other one ends with a whole sentence too. */
export function endSentence(run: ModuleRun): void {
  try {
    run.stop();
    run.advanceTo(run.endMs);
  } catch {
    // The file that has failed does so again.
  }
}

/** A second signal within this time of the first is the same wish come by another way, ms. */
const SAME_WISH_MS = 500;

/**
 * Tells a run to end: by Ctrl-C, a request to terminate, or a failure. A second signal ends it at once, in the middle
 * of a sentence.
 */
export class Stop {
  isStopped = false;
  isAborted = false;
  #firstMs = 0;
  failure: Error | null = null;
  #tell = () => {};
  /** Settled by the first signal. */
  readonly stopped = new Promise<void>((resolve) => {
    this.#tell = resolve;
  });
  readonly #onSignal = (name: NodeJS.Signals) => {
    if (this.#firstMs === 0) this.#firstMs = performance.now();
    else if (performance.now() - this.#firstMs > SAME_WISH_MS) this.#again(name);
    this.isStopped = true;
    this.#tell();
  };

  /** @param second what a second signal does: it sets `isAborted`, or it ends the process as if nobody had listened */
  constructor(private readonly second: 'told' | 'usual' = 'told') {
    process.on('SIGINT', this.#onSignal);
    process.on('SIGTERM', this.#onSignal);
    process.on('SIGHUP', this.#onSignal);
  }

  fail(error: Error): void {
    this.failure ??= error;
    this.isStopped = true;
  }

  #again(name: NodeJS.Signals): void {
    this.isAborted = true;
    if (this.second === 'told') return;
    this.release();
    process.kill(process.pid, name);
  }

  /** Signals have their usual effect again. */
  release(): void {
    for (const name of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.off(name, this.#onSignal);
  }
}

/** Prints a failure of something that had begun; a broken invariant goes on as it is. */
export function reportFailure(error: Error): void {
  if (!(error instanceof LodestubError)) throw error;
  process.stderr.write(`${error.message}\n`);
}
