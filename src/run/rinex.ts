import { mkdirSync, rmdirSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { LodestubError } from '../base/error.js';
import { gpsFromUtc } from '../base/time.js';
import { LineFile, type LineFileOptions } from '../emit/ports/line-file.js';
import type { Scenario } from '../scenario/scenario.js';
import { shownPath } from '../scenario/shipped.js';
import type { PlayedEpoch } from '../truth/recorded-epoch.js';
import { rinexNames } from '../truth/rinex/file-name.js';
import { writeNavigation } from '../truth/rinex/navigation.js';
import { ObservationWriter } from '../truth/rinex/observation.js';
import type { ModuleRun } from './module-run.js';

/** What of a run the files are named by and made from. */
export type RinexRun = Pick<ModuleRun, 'startUtc' | 'epochCount' | 'epochMs' | 'epochsDone' | 'sky'>;

/** Paths of the files of a run in a folder. @throws LodestubError `replay.no-receiver` */
export function rinexPaths(folder: string, scenario: Scenario, run: RinexRun): readonly [string, string] {
  if (scenario.recording !== null) {
    const summary = 'raw measurements are a receiver’s, and a recording has none';
    throw new LodestubError({ code: 'replay.no-receiver', path: '--rinex', summary, hint: 'Leave it out.' });
  }
  const { observation, navigation } = rinexNames({
    start: gpsFromUtc(run.startUtc, scenario.leapSeconds),
    durationS: (run.epochCount * run.epochMs) / 1000,
    intervalMs: run.epochMs,
  });
  return [join(folder, observation), join(folder, navigation)];
}

/** An earlier output, which may be replaced. */
const isRinexOfOurs = (head: string) => /^Lodestub [^\n]{0,60}PGM \/ RUN BY \/ DATE/m.test(head);

function optionsOf(force: boolean): LineFileOptions {
  return { force, isOwn: isRinexOfOurs };
}

/**
 * Finds out, before anything else is touched, whether the files can be written; the folder may be missing.
 * @param taken other outputs of the run
 * @throws LodestubError `out.…`, `command.conflict`
 */
export function checkRinex(
  folder: string,
  paths: readonly string[],
  force: boolean,
  taken: readonly (string | undefined)[],
): void {
  for (const path of paths) {
    if (!taken.some((other) => other !== undefined && resolve(other) === resolve(path))) continue;
    throw new LodestubError({
      code: 'command.conflict',
      path: '--rinex',
      expected: 'other files than the run’s other outputs',
      received: path,
      hint: 'Give each a name of its own.',
    });
  }
  const made = makeFolders(folder);
  if (made.length === 0) for (const path of paths) LineFile.check(path, optionsOf(force));
  for (const each of made.reverse()) rmdirSync(each);
}

/**
 * Makes a folder, and those that it is to stand in. One by one: where nothing can be made, as below /proc, Node's own
 * way of making all at once never ends (Node 20).
 * @returns what was made, the outermost first
 * @throws LodestubError `out.…`; what had been made is taken away again
 */
function makeFolders(folder: string): string[] {
  if (folder === '') {
    const hint = 'Name a folder, or . for this one.';
    const detail = { path: '--rinex', expected: 'a folder', received: 'no name', hint };
    throw new LodestubError({ code: 'out.missing-folder', ...detail });
  }
  const missing: string[] = [];
  for (let path = resolve(folder); !isFolder(path); path = dirname(path)) missing.unshift(path);
  const made: string[] = [];
  for (const path of missing) {
    try {
      mkdirSync(path);
    } catch (error) {
      for (const each of made.reverse()) rmdirSync(each);
      throw folderError(folder, error as NodeJS.ErrnoException);
    }
    made.push(path);
  }
  return made;
}

/** True for a folder, false where nothing is. @throws LodestubError `out.missing-folder` for anything else */
function isFolder(path: string): boolean {
  let isOther: boolean;
  try {
    const what = statSync(path, { throwIfNoEntry: false });
    if (what === undefined) return false;
    isOther = !what.isDirectory();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOTDIR') return false;
    throw folderError(path, error as NodeJS.ErrnoException);
  }
  if (!isOther) return true;
  throw new LodestubError({
    code: 'out.missing-folder',
    path: shownPath(path),
    summary: 'this is a file, where a folder is needed',
    hint: 'Name another folder.',
  });
}

function folderError(path: string, cause: NodeJS.ErrnoException): LodestubError {
  const isDenied = ['EACCES', 'EPERM', 'EROFS'].includes(cause.code ?? '');
  return new LodestubError({
    code: isDenied ? 'out.denied' : 'out.failed',
    path,
    summary: isDenied ? 'no permission to write here' : `the folder cannot be made (${cause.code ?? cause.message})`,
    hint: 'Name another folder.',
    cause,
  });
}

/** The two RINEX files of a run, open. */
export class RinexFiles {
  readonly #observation: LineFile;
  readonly #navigation: LineFile;
  readonly #writer: ObservationWriter;
  readonly #scenario: Scenario;
  readonly #run: RinexRun;

  /** @throws LodestubError `out.…` */
  constructor(folder: string, paths: readonly [string, string], force: boolean, scenario: Scenario, run: RinexRun) {
    this.#scenario = scenario;
    this.#run = run;
    makeFolders(folder);
    const observation = LineFile.open(paths[0], optionsOf(force));
    try {
      this.#navigation = LineFile.open(paths[1], optionsOf(force));
    } catch (error) {
      observation.close();
      throw error;
    }
    this.#observation = observation;
    const { bands, systems } = scenario.module.receiver;
    this.#writer = new ObservationWriter((text) => observation.appendLatin1(text), {
      satellites: run.sky.satellites,
      bands,
      systems,
      intervalMs: run.epochMs,
      start: gpsFromUtc(run.startUtc, scenario.leapSeconds),
      leapSeconds: scenario.leapSeconds,
    });
  }

  /** One epoch, in order. @throws LodestubError `out.full` and the like */
  add(epoch: PlayedEpoch): void {
    if (epoch.truth === null) return;
    this.#writer.add(epoch);
  }

  /**
   * Writes the navigation messages of the time that the run has lasted, and closes both files.
   * @throws LodestubError `out.full` and the like
   */
  close(): void {
    const { startUtc, epochsDone, epochMs, sky } = this.#run;
    const { leapSeconds } = this.#scenario;
    try {
      this.#writer.finish();
      writeNavigation((text) => this.#navigation.append(text), {
        satellites: sky.satellites,
        klobuchar: sky.klobuchar,
        start: gpsFromUtc(startUtc, leapSeconds),
        durationS: (epochsDone * epochMs) / 1000,
        leapSeconds,
      });
    } finally {
      try {
        this.#observation.close();
      } finally {
        this.#navigation.close();
      }
    }
  }
}
