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
import type { Step } from './engine.js';
import { ModuleRun } from './module-run.js';
import { play } from './play.js';

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
  readonly onEpoch?: (step: Step) => void;
  /** What stands for `start: now`; default: this machine's time, to the second. */
  readonly now?: Utc;
}

/** A module on its port. */
export interface LodestubModule {
  /** What a host opens. */
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
  /** With a real clock: resolves at the run's end. */
  readonly finished: Promise<void>;
  /** Ends the run, and frees port and link. */
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
  let run: ModuleRun | null = null;
  const port = await openPort(
    spec,
    { baud: scenario.module.baud, ...(options.link === undefined ? {} : { linkPath: options.link }) },
    {
      hostEvent: (event: HostEvent) => run?.noteHost(event),
      failed: (error) => {
        state.failure ??= error;
        state.isStopped = true;
      },
    },
  );
  try {
    run = new ModuleRun(scenario, {
      now: options.now ?? utcNow(),
      send: (bytes) => port.write(Buffer.from(bytes, 'latin1')),
      ...(options.onJournal === undefined ? {} : { journal: options.onJournal }),
      ...(options.onEpoch === undefined ? {} : { onStep: options.onEpoch }),
    });
  } catch (error) {
    await port.close();
    throw error;
  }
  return handle(run, port, options.clock ?? 'manual', state);
}

interface State {
  hasClosed: boolean;
  isStopped: boolean;
  failure: Error | null;
}

function handle(run: ModuleRun, port: ModulePort, clock: 'manual' | 'real' | number, state: State): LodestubModule {
  let nowMs = 0;
  const isManual = clock === 'manual';
  const realClock = new RealClock(typeof clock === 'number' ? clock : 1);
  const finished = isManual ? Promise.resolve() : playIt();

  async function playIt(): Promise<void> {
    realClock.start();
    await play(run, realClock, state);
    if (state.failure !== null) throw state.failure;
  }

  return {
    port: port.name,
    startUtc: run.startUtc,
    epochMs: run.epochMs,
    get nowMs() {
      return isManual ? nowMs : realClock.nowMs();
    },
    get isOver() {
      return run.isOver;
    },
    advance(deltaMs) {
      if (!isManual) {
        throw new LodestubError({
          code: 'library.clock',
          path: 'advance',
          expected: 'the manual clock',
          received: 'a real one',
        });
      }
      if (!(deltaMs >= 0)) {
        throw new LodestubError({
          code: 'library.clock',
          path: 'advance',
          expected: '0 ms or more',
          received: `${deltaMs}`,
        });
      }
      nowMs += deltaMs;
      run.advanceTo(nowMs);
      if (state.failure !== null) throw state.failure;
    },
    read() {
      if (!('read' in port)) {
        throw new LodestubError({
          code: 'library.port',
          path: 'read',
          expected: 'the port memory',
          received: port.name,
        });
      }
      return (port as MemoryPort).read();
    },
    finished,
    async close() {
      if (state.hasClosed) return;
      state.hasClosed = true;
      state.isStopped = true;
      if (isManual) {
        run.stop();
        run.advanceTo(run.endMs);
      } else {
        await finished.catch(() => {});
      }
      run.finish();
      await port.close();
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

function utcNow(): Utc {
  const date = new Date();
  return {
    year: date.getUTCFullYear(),
    month: date.getUTCMonth() + 1,
    day: date.getUTCDate(),
    hour: date.getUTCHours(),
    minute: date.getUTCMinutes(),
    second: date.getUTCSeconds(),
  };
}
