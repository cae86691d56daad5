import type { SingleBar } from 'cli-progress';
import { openFilePort } from '../emit/ports/file-port.js';
import { ModuleRun } from '../run/module-run.js';
import { playFlatOut } from '../run/play.js';
import { checkRinex, RinexFiles, rinexPaths } from '../run/rinex.js';
import { nextWholeSecond } from '../run/start-time.js';
import { CAUTION } from './caution.js';
import { DroppedCount } from './dropped-count.js';
import { loadScenario, type ScenarioOptions } from './load.js';
import { checkJournal, closeAll, endSentence, openJournal, reportFailure, Stop, vainText } from './session.js';

interface WriteOptions extends ScenarioOptions {
  readonly out: string;
  readonly journal?: string;
  /** Folder for raw measurements and navigation messages. */
  readonly rinex?: string;
  readonly force?: boolean;
}

/** `lodestub write`: flat out into a file. @returns the exit code */
export async function writeCommand(name: string, options: WriteOptions): Promise<number> {
  const scenario = await loadScenario(name, options);
  const force = options.force === true;
  const stop = new Stop();
  // Everything that can be refused is refused before a file is touched.
  const now = nextWholeSecond().utc;
  const trial = new ModuleRun(scenario, { now, send: () => {} });
  checkJournal(options.journal, force, options.out);
  const paths = options.rinex === undefined ? null : rinexPaths(options.rinex, scenario, trial);
  if (paths !== null) checkRinex(options.rinex as string, paths, force, [options.out, options.journal]);
  const port = await openFilePort(options.out, { failed: (error) => stop.fail(error) }, { force });
  const journal = options.journal === undefined ? null : openJournal(options.journal, force);
  const dropped = new DroppedCount();
  let rinex: RinexFiles | null = null;
  const run = new ModuleRun(scenario, {
    now,
    send: (bytes) => port.writeLatin1(bytes),
    port,
    onDropped: (loss) => dropped.add(loss),
    ...(journal === null ? {} : { journal: journal.sink }),
    ...(paths === null ? {} : { withObservations: true, onStep: ({ epoch }) => rinex?.add(epoch) }),
  });
  if (paths !== null) rinex = new RinexFiles(options.rinex as string, paths, force, scenario, run);
  process.stderr.write(`${CAUTION}\n${vainText(port, scenario)}`);
  const bar = await progressBar(run);
  try {
    await playFlatOut(run, stop, () => bar?.update(run.epochsDone));
    run.finish();
    bar?.update(run.epochsDone);
  } catch (error) {
    stop.fail(error as Error);
    endSentence(run);
  }
  await closeAll(
    stop,
    () => journal?.close(),
    () => rinex?.close(),
    () => port.close(),
  );
  bar?.stop();
  stop.release();
  const summary = dropped.summary();
  if (summary !== null) process.stderr.write(`${summary}\n`);
  if (stop.failure === null) return 0;
  reportFailure(stop.failure);
  return 1;
}

/** Progress with the time left; none where nobody looks. */
async function progressBar(run: ModuleRun): Promise<SingleBar | null> {
  if (!process.stderr.isTTY || run.epochCount === Infinity) return null;
  const { default: progress } = await import('cli-progress');
  const format = '{bar} {percentage} %  {value} of {total} epochs  {eta_formatted} left';
  const bar = new progress.SingleBar({ format, stream: process.stderr, clearOnComplete: true, hideCursor: true });
  bar.start(run.epochCount, 0);
  return bar;
}
