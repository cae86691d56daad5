import { LodestubError } from '../base/error.js';
import { type ControlSocket, openControlSocket } from '../control/control-socket.js';
import { LiveControl } from '../control/live-control.js';
import { RunWatch } from '../control/run-watch.js';
import type { FilePort } from '../emit/ports/file-port.js';
import { openPort, type PortSpec, parsePortSpec } from '../emit/ports/open-port.js';
import type { ModulePort, PortListener } from '../emit/ports/port.js';
import { RealClock } from '../run/clock.js';
import { ModuleRun, type RunOptions as ModuleRunOptions } from '../run/module-run.js';
import { play } from '../run/play.js';
import { nextWholeSecond, untilUnixMs } from '../run/start-time.js';
import type { Scenario } from '../scenario/scenario.js';
import { CAUTION } from './caution.js';
import { keyboardOf } from './keys.js';
import { loadScenario, type ScenarioOptions } from './load.js';
import { Screen } from './screen.js';
import {
  checkJournal,
  closeAll,
  endSentence,
  type JournalFile,
  openJournal,
  reportFailure,
  Stop,
  vainText,
} from './session.js';
import { tellPort } from './tell-port.js';

/** What `run` takes. */
export interface RunOptions extends ScenarioOptions {
  readonly port: string;
  readonly link?: string;
  readonly pace: number;
  readonly journal?: string;
  readonly force?: boolean;
  /** A path; false: no control socket. */
  readonly control?: string | false;
}

/** How often files are brought up to date, ms: whoever looks on sees what has happened. */
const FLUSH_EVERY_MS = 500;

/** What belongs to a run that is under way, as far as it is there yet. */
interface Wires {
  run: ModuleRun | null;
  /** Says something to whoever started the run. */
  tell: (text: string) => boolean;
}

/** `lodestub run`: in real time on a port. @returns the exit code */
export async function runCommand(name: string | undefined, options: RunOptions): Promise<number> {
  const { spec, scenario } = await prepare(name, options);
  const force = options.force === true;
  const stop = new Stop();
  const clock = new RealClock(options.pace);
  const watch = new RunWatch();
  const note = spec.kind === 'stdout' ? process.stderr : process.stdout;
  const wires: Wires = { run: null, tell: (text) => process.stderr.write(text) };
  const opening = {
    baud: scenario.module.baud,
    force,
    ...(options.link === undefined ? {} : { linkPath: options.link }),
  };
  let run: ModuleRun;
  let port: ModulePort | null = null;
  let journal: JournalFile | null = null;
  let control: ControlSocket | null = null;
  try {
    port = await openPort(spec, opening, listenerOf(wires, clock, stop));
    journal = options.journal === undefined ? null : openJournal(options.journal, force);
    process.stderr.write(`${CAUTION}\n${vainText(port, scenario)}`);
    control = await openControl(options.control, watch);
    note.write(`port: ${port.name}\n`);
    const isWatched = options.control !== false || process.stderr.isTTY;
    run = await start(port, journalOf(journal, isWatched, watch));
  } catch (error) {
    await closeAll(
      stop,
      () => port?.close(),
      () => journal?.close(),
      () => control?.close(),
    );
    stop.release();
    throw error;
  }
  const open = port;
  const endRun = () => {
    stop.isStopped = true;
  };
  const live = new LiveControl({ run, clock, scenario, watch, portName: () => open.name, stop: endRun });
  const screen = new Screen(process.stderr, { run, watch, live });
  wires.tell = (text) => screen.say(text);
  await playToEnd({ run, port, journal, control, live, clock, note, screen, stop });
  stop.release();
  if (stop.failure === null) return 0;
  reportFailure(stop.failure);
  return 1;

  async function start(to: ModulePort, record: Pick<ModuleRunOptions, 'journal'>): Promise<ModuleRun> {
    const begin = nextWholeSecond();
    const ready = new ModuleRun(scenario, {
      now: begin.utc,
      send: (bytes) => {
        const chunk = Buffer.from(bytes, 'latin1');
        watch.count(chunk.length, to.write(chunk));
      },
      onStep: (step) => watch.see(step),
      failed: (error) => stop.fail(error),
      port: to,
      ...record,
    });
    if (scenario.start === 'now') await untilUnixMs(begin.unixMs, stop);
    wires.run = ready;
    return ready;
  }
}

/** Reads and checks everything that can be refused before anything is opened. @throws LodestubError */
async function prepare(name: string | undefined, options: RunOptions): Promise<{ spec: PortSpec; scenario: Scenario }> {
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
  // Checks what can only be checked as a whole (almanac, route).
  new ModuleRun(scenario, { now: nextWholeSecond().utc, send: () => {} });
  checkJournal(options.journal, options.force === true, spec.kind === 'file' ? spec.path : undefined);
  return { spec, scenario };
}

/** What a port tells goes to the run. */
function listenerOf(wires: Wires, clock: RealClock, stop: Stop): PortListener {
  return {
    hostBytes: (bytes) => wires.run?.hear(bytes, clock.nowMs()),
    hostEvent: (event) => wires.run?.noteHost(event, clock.nowMs()),
    portEvent: (event) => {
      wires.run?.notePort(event, clock.nowMs());
      tellPort(event, { write: wires.tell });
    },
    failed: (error) => stop.fail(error),
  };
}

/** Where the journal's lines go: to its file, and to whoever watches the run; nowhere where neither is. */
function journalOf(record: JournalFile | null, isWatched: boolean, watch: RunWatch): Pick<ModuleRunOptions, 'journal'> {
  if (record === null && !isWatched) return {};
  return {
    journal: (line) => {
      record?.sink(line);
      watch.record(line);
    },
  };
}

/**
 * Opens the control socket, and says where. One that nobody asked for by its path is no reason to end a run.
 * @throws LodestubError `control.…`
 */
async function openControl(wanted: string | false | undefined, watch: RunWatch): Promise<ControlSocket | null> {
  if (wanted === false) return null;
  try {
    const control = await openControlSocket(wanted ?? null, watch);
    process.stderr.write(`control: ${control.path}\n`);
    return control;
  } catch (error) {
    if (wanted !== undefined || !(error instanceof LodestubError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return null;
  }
}

/** A run that is ready, and what it needs until its end. */
interface Session {
  readonly run: ModuleRun;
  readonly port: ModulePort;
  readonly journal: JournalFile | null;
  readonly control: ControlSocket | null;
  readonly live: LiveControl;
  readonly clock: RealClock;
  /** Where `started:` goes. */
  readonly note: NodeJS.WriteStream;
  readonly screen: Screen;
  readonly stop: Stop;
}

/** Plays to the end, and closes port and journal. */
async function playToEnd({ run, port, journal, control, live, clock, note, screen, stop }: Session): Promise<void> {
  const keyboard = keyboardOf(screen, live);
  // What has been asked for so far is in force from the first epoch on.
  control?.serve(live);
  // Read first: what is printed must not be later than tick 0, or a byte could seem early.
  const started = new Date();
  clock.start();
  note.write(`started: ${started.toISOString()}\n`);
  screen.open(() => keyboard?.open());
  keyboard?.open();
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
  keyboard?.close();
  screen.close();
  await closeAll(
    stop,
    () => journal?.close(),
    () => port.close(),
    () => control?.close(),
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
