import { LodestubError } from '../base/error.js';
import type { FilePort } from '../emit/ports/file-port.js';
import { openPort, parsePortSpec } from '../emit/ports/open-port.js';
import type { ModulePort } from '../emit/ports/port.js';
import { RealClock } from '../run/clock.js';
import { ModuleRun } from '../run/module-run.js';
import { play } from '../run/play.js';
import { nextWholeSecond, untilUnixMs } from '../run/start-time.js';
import { CAUTION } from './caution.js';
import { loadScenario, type ScenarioOptions } from './load.js';
import { checkJournal, closeAll, endSentence, type JournalFile, openJournal, reportFailure, Stop } from './session.js';
import { StatusLine } from './status-line.js';

interface RunOptions extends ScenarioOptions {
  readonly port: string;
  readonly link?: string;
  readonly pace: number;
  readonly journal?: string;
  readonly force?: boolean;
}

/** How often files are brought up to date, ms: whoever looks on sees what has happened. */
const FLUSH_EVERY_MS = 500;

/** `lodestub run`: in real time on a port. @returns the exit code */
export async function runCommand(name: string | undefined, options: RunOptions): Promise<number> {
  const spec = parsePortSpec(options.port);
  if (options.link !== undefined && spec.kind !== 'pty') {
    throw new LodestubError({
      code: 'command.conflict',
      path: '--link',
      expected: 'a pty',
      received: `--port ${options.port}`,
      hint: 'Leave --link out, or use --port pty.',
    });
  }
  const scenario = await loadScenario(name, options);
  // Checks what can only be checked as a whole (almanac, route) before anything is opened.
  new ModuleRun(scenario, { now: nextWholeSecond().utc, send: () => {} });
  const force = options.force === true;
  checkJournal(options.journal, force, spec.kind === 'file' ? spec.path : undefined);
  const stop = new Stop();
  const clock = new RealClock(options.pace);
  const status = new StatusLine(scenario, process.stderr);
  const note = spec.kind === 'stdout' ? process.stderr : process.stdout;
  let run: ModuleRun | null = null;
  let port: ModulePort | null = null;
  let journal: JournalFile | null = null;
  try {
    port = await openPort(
      spec,
      { baud: scenario.module.baud, force, ...(options.link === undefined ? {} : { linkPath: options.link }) },
      {
        hostBytes: (bytes) => run?.hear(bytes),
        hostEvent: (event) => run?.noteHost(event, clock.nowMs()),
        portEvent: (event) => run?.notePort(event, clock.nowMs()),
        failed: (error) => stop.fail(error),
      },
    );
    journal = options.journal === undefined ? null : openJournal(options.journal, force);
    process.stderr.write(`${CAUTION}\n`);
    note.write(`port: ${port.name}\n`);
    run = await start(port, journal);
  } catch (error) {
    await closeAll(
      stop,
      () => port?.close(),
      () => journal?.close(),
    );
    stop.release();
    throw error;
  }
  await playToEnd({ run, port, journal, clock, note, status, stop });
  stop.release();
  if (stop.failure === null) return 0;
  reportFailure(stop.failure);
  return 1;

  async function start(to: ModulePort, record: JournalFile | null): Promise<ModuleRun> {
    const begin = nextWholeSecond();
    const ready = new ModuleRun(scenario, {
      now: begin.utc,
      send: (bytes) => {
        const chunk = Buffer.from(bytes, 'latin1');
        status.count(chunk.length, to.write(chunk));
      },
      onStep: (step) => status.see(step),
      port: to,
      ...(record === null ? {} : { journal: record.sink }),
    });
    if (scenario.start === 'now') await untilUnixMs(begin.unixMs, stop);
    return ready;
  }
}

/** A run that is ready, and what it needs until its end. */
interface Session {
  readonly run: ModuleRun;
  readonly port: ModulePort;
  readonly journal: JournalFile | null;
  readonly clock: RealClock;
  /** Where `started:` goes. */
  readonly note: NodeJS.WriteStream;
  readonly status: StatusLine;
  readonly stop: Stop;
}

/** Plays to the end, and closes port and journal. */
async function playToEnd({ run, port, journal, clock, note, status, stop }: Session): Promise<void> {
  // Read first: what is printed must not be later than tick 0, or a byte could seem early.
  const started = new Date();
  clock.start();
  note.write(`started: ${started.toISOString()}\n`);
  status.open();
  const flusher = setInterval(() => flushFiles(port, journal, stop), FLUSH_EVERY_MS);
  try {
    await play(run, clock, stop);
    run.finish();
  } catch (error) {
    stop.fail(error as Error);
    // On a line it would be too early; a file ends in a whole sentence.
    if ('flush' in port) endSentence(run);
  }
  clearInterval(flusher);
  status.close();
  await closeAll(
    stop,
    () => journal?.close(),
    () => port.close(),
  );
}

function flushFiles(port: ModulePort, journal: JournalFile | null, stop: Stop): void {
  try {
    journal?.flush();
    if ('flush' in port) (port as FilePort).flush();
  } catch (error) {
    stop.fail(error as Error);
  }
}
