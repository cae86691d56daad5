import { stringify } from 'yaml';
import { LodestubError } from '../base/error.js';
import type { Utc } from '../base/time.js';
import type { MemoryPort } from '../emit/ports/memory-port.js';
import { openPort, parsePortSpec } from '../emit/ports/open-port.js';
import type { HostEvent, ModulePort } from '../emit/ports/port.js';
import { loadScenarioFile, readScenario } from '../scenario/read.js';
import type { Scenario, ScenarioOverrides } from '../scenario/scenario.js';
import { BUILT_IN_SCENARIO } from '../scenario/shipped.js';
import { RealClock } from './clock.js';
import { ModuleRun } from './module-run.js';
import type { EpochStep } from './output.js';
import { play } from './play.js';
import { nextWholeSecond, untilUnixMs } from './start-time.js';

/** What {@link openModule} takes. */
export interface OpenModuleOptions {
  /** A shipped scenario's name, a file, or a scenario itself as a mapping; default: the built-in one. */
  readonly scenario?: string | Readonly<Record<string, unknown>>;
  readonly seed?: number;
  /** A module profile's name or file, in place of the scenario's. */
  readonly module?: string;
  readonly baud?: number;
  /** As on the command line, and `memory` (the default) and `mock:PATH` for a host in this process. */
  readonly port?: string;
  /** A symbolic link to the pty. */
  readonly link?: string;
  /** `manual` (the default): time stands until {@link LodestubModule.advance}; `real`, or so many times real time. */
  readonly clock?: 'manual' | 'real' | number;
  /** Takes the truth journal's lines. */
  readonly onJournal?: (line: string) => void;
  /** Called at each navigation epoch with what the module reports and what is true. */
  readonly onEpoch?: (step: EpochStep) => void;
  /** What stands for `start: now`; default: this machine's time, to the second. */
  readonly now?: Utc;
}

/** A module on its port. */
export interface LodestubModule {
  /** What a host opens; where the port comes back under another name, that. */
  readonly port: string;
  readonly startUtc: Utc;
  readonly epochMs: number;
  /** Simulated time since the start, ms. */
  readonly nowMs: number;
  readonly isOver: boolean;
  /**
   * With the manual clock: lives on for so many ms, and hands the port each byte whose stop bit has ended by then.
   * @throws LodestubError `library.clock` with a real clock
   */
  advance(deltaMs: number): void;
  /**
   * What the module has sent since the last call.
   * @throws LodestubError `library.port` unless the port is `memory`
   */
  read(): Buffer;
  /**
   * Sends bytes from the host, text as a byte a character (latin1): the module gets them at the next tick, a whole
   * multiple of 20 ms, with the speed of its own line.
   * @throws LodestubError `library.port` unless the port is `memory`
   */
  send(bytes: string | Uint8Array): void;
  /** With a real clock: resolves at the run's end, and rejects if port, journal or `onEpoch` failed. */
  readonly finished: Promise<void>;
  /** Ends the run, and frees port and link, whatever fails on the way; may be called twice. */
  close(): Promise<void>;
}

/**
 * Opens a module as `lodestub run` does, for a test of one's own.
 * @throws LodestubError for all that the command line refuses
 */
export async function openModule(options: OpenModuleOptions = {}): Promise<LodestubModule> {
  const scenario = await scenarioFrom(options);
  const spec = parsePortSpec(options.port ?? 'memory');
  const state = { hasClosed: false, isStopped: false, failure: null as Error | null };
  const failed = (error: Error) => {
    state.failure ??= error;
    state.isStopped = true;
  };
  let run: ModuleRun | null = null;
  const time = timeOf(options.clock ?? 'manual');
  const begin = nextWholeSecond();
  const port = await openPort(
    spec,
    { baud: scenario.module.baud, ...(options.link === undefined ? {} : { linkPath: options.link }) },
    {
      hostBytes: (bytes) => run?.hear(bytes, time.nowMs()),
      hostEvent: (event: HostEvent) => run?.noteHost(event, time.nowMs()),
      portEvent: (event) => run?.notePort(event, time.nowMs()),
      failed,
    },
  );
  try {
    run = new ModuleRun(scenario, {
      now: options.now ?? begin.utc,
      send: (bytes) => port.write(Buffer.from(bytes, 'latin1')),
      failed,
      port,
      ...(options.onJournal === undefined ? {} : { journal: options.onJournal }),
      ...(options.onEpoch === undefined ? {} : { onStep: options.onEpoch }),
    });
  } catch (error) {
    await port.close();
    throw error;
  }
  const startsNow = scenario.start === 'now' && options.now === undefined;
  return handle(run, port, time, startsNow ? begin.unixMs : 0, state);
}

/** The port as one in memory. @throws LodestubError `library.port` */
function memoryOf(port: ModulePort, path: string): MemoryPort {
  if ('read' in port && 'send' in port) return port as MemoryPort;
  throw new LodestubError({ code: 'library.port', path, expected: 'the port memory', received: port.name });
}

interface State {
  hasClosed: boolean;
  isStopped: boolean;
  failure: Error | null;
}

/** The module's time: told by hand, or the machine's. */
interface Time {
  readonly real: RealClock | null;
  /** With the manual clock, ms. */
  manualMs: number;
  nowMs(): number;
}

/** @throws LodestubError `library.clock` */
function timeOf(clock: 'manual' | 'real' | number): Time {
  if (typeof clock === 'number' && !(clock >= 0.01 && clock <= 1000)) {
    throw clockError('clock', "'manual', 'real', or a factor from 0.01 to 1000", String(clock));
  }
  const real = clock === 'manual' ? null : new RealClock(clock === 'real' ? 1 : clock);
  return {
    real,
    manualMs: 0,
    nowMs() {
      return real === null ? this.manualMs : real.nowMs();
    },
  };
}

function clockError(path: string, expected: string, received: string): LodestubError {
  return new LodestubError({ code: 'library.clock', path, expected, received });
}

function handle(run: ModuleRun, port: ModulePort, time: Time, startUnixMs: number, state: State): LodestubModule {
  const finished = time.real === null ? Promise.resolve() : playIt(time.real);
  // Whoever does not wait for the end must not be ended by a failure; whoever does is told.
  finished.catch(() => {});

  async function playIt(clock: RealClock): Promise<void> {
    await untilUnixMs(startUnixMs, state);
    clock.start();
    await play(run, clock, state);
    if (state.failure !== null) throw state.failure;
  }

  return {
    get port() {
      return port.name;
    },
    startUtc: run.startUtc,
    epochMs: run.epochMs,
    get nowMs() {
      return time.nowMs();
    },
    get isOver() {
      return run.isOver;
    },
    advance(deltaMs) {
      if (time.real !== null) throw clockError('advance', 'the manual clock', 'a real one');
      if (!(deltaMs >= 0)) throw clockError('advance', '0 ms or more', `${deltaMs}`);
      time.manualMs += deltaMs;
      run.advanceTo(time.manualMs);
      if (state.failure !== null) throw state.failure;
    },
    read() {
      return memoryOf(port, 'read').read();
    },
    send(bytes) {
      memoryOf(port, 'send').send(typeof bytes === 'string' ? Buffer.from(bytes, 'latin1') : bytes);
    },
    finished,
    async close() {
      if (state.hasClosed) return;
      state.hasClosed = true;
      state.isStopped = true;
      try {
        if (time.real === null) {
          run.stop();
          run.advanceTo(run.endMs);
        } else {
          await finished.catch(() => {});
        }
        run.finish();
      } finally {
        await port.close();
      }
    },
  };
}

async function scenarioFrom({ scenario, seed, module, baud }: OpenModuleOptions): Promise<Scenario> {
  const overrides: ScenarioOverrides = {
    ...(seed === undefined ? {} : { seed }),
    ...(module === undefined ? {} : { module }),
    ...(baud === undefined ? {} : { baud }),
  };
  if (scenario === undefined || typeof scenario === 'string') {
    return loadScenarioFile(scenario ?? BUILT_IN_SCENARIO, overrides);
  }
  return readScenario(stringify(scenario), { file: 'scenario', baseFolder: '.', overrides });
}
