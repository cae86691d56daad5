import { type ChildProcessByStdio, spawn } from 'node:child_process';
import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { Readable } from 'node:stream';
import { LodestubError } from '../../base/error.js';
import { wordsOf } from '../expectations/host-life.js';
import { LineCutter } from '../reports/line-cutter.js';
import { readPaced } from '../reports/paced.js';
import { LONGEST_TEXT } from '../reports/record-sink.js';
import { floodGauge } from './flood.js';
import type { HostCommand } from './host-schema.js';
import { fillPlaceholders, type PlaceholderValues } from './placeholders.js';
import { ProcessGroup } from './process-group.js';
import { folderError, startError } from './start-error.js';

/** How long outputs may stay open when all processes have ended, ms: another one may have them. */
const OUTPUTS_WITHIN_MS = 300;

/** The host's process began or ended. */
export interface HostLife {
  readonly event: 'started' | 'ended';
  /** How it ended. */
  readonly code: number | null;
  readonly signal: string | null;
  /** It was ended by `stop`. */
  readonly isByUs: boolean;
}

/** Who wants to know what the host does. */
export interface HostListener {
  life(event: HostLife): void;
  /** What it wrote, as it came. */
  text?(from: 'stdout' | 'stderr', text: string): void;
  /** A line that it wrote, without its end, 500 characters at most. */
  line?(from: 'stdout' | 'stderr', line: string): void;
  /** All that a process wrote has been told: its outputs are read to their end, which is later than its own end. */
  outputsEnded?(): void;
  /** It writes more than can be read without harm: it is slowed down. Told once each life. */
  flooded?(from: 'stdout' | 'stderr'): void;
  /** It could not be started again. */
  failed?(error: LodestubError): void;
}

/** What stands in a case for a host's command. */
export interface HostSurroundings {
  /** Folder of the trial's file. */
  readonly baseFolder: string;
  readonly values: PlaceholderValues;
}

type Child = ChildProcessByStdio<null, Readable, Readable>;

/** The host under test as a process of ours, in a group of its own. */
export class HostProcess {
  readonly #settings: HostCommand;
  readonly #listener: HostListener;
  readonly #surroundings: HostSurroundings;
  #starts = 0;
  #isStopping = false;
  #isRunning = false;
  /** The end of what was started last: the processes, and their outputs. */
  #over: Promise<void> = Promise.resolve();
  #group: ProcessGroup | null = null;
  #again: NodeJS.Timeout | null = null;
  #stopped: Promise<boolean> | null = null;
  /** Its newest line, for messages; null: it has written none. */
  #lastLine: string | null = null;
  #lastEnd = '';
  readonly #ready: Promise<void>;
  #tellReady: () => void = () => {};
  #tellNotReady: (error: LodestubError) => void = () => {};

  constructor(settings: HostCommand, listener: HostListener, surroundings: HostSurroundings) {
    this.#settings = settings;
    this.#listener = listener;
    this.#surroundings = surroundings;
    this.#ready = new Promise((resolve, reject) => {
      this.#tellReady = resolve;
      this.#tellNotReady = reject;
    });
    // Who does not wait for it does not want to hear of it.
    this.#ready.catch(() => {});
  }

  /** How many times it was started. */
  get starts(): number {
    return this.#starts;
  }

  /** The group that its processes are in: the id of the one that was started last; null: none was. */
  get group(): number | null {
    return this.#group?.id ?? null;
  }

  get isRunning(): boolean {
    return this.#isRunning;
  }

  /**
   * Starts it.
   * @throws LodestubError `trial.host-missing`, `trial.host-denied`, `trial.host-folder`, `trial.host-failed`,
   *   `trial.placeholder`
   */
  async start(): Promise<void> {
    const { command, environment, folder } = this.#settings;
    const { values, baseFolder } = this.#surroundings;
    const [file, ...words] = command.map((word) => fillPlaceholders(word, values, 'host.command')) as [string];
    const where = resolve(baseFolder, folder);
    const env: NodeJS.ProcessEnv = { ...process.env };
    for (const [name, value] of Object.entries(environment)) {
      if (value === null) delete env[name];
      else env[name] = fillPlaceholders(value, values, `host.environment.${name}`);
    }
    const isFolder = await stat(where).then(
      (stats) => stats.isDirectory(),
      () => null,
    );
    if (isFolder !== true) throw folderError(where, isFolder === false);
    if (this.#isStopping) return;
    let child: Child;
    try {
      child = spawn(file, words, { cwd: where, env, detached: true, stdio: ['ignore', 'pipe', 'pipe'] });
    } catch (error) {
      throw startError(error as NodeJS.ErrnoException, file, where, env);
    }
    if (child.pid === undefined) {
      const error = await new Promise<Error>((tell) => child.once('error', tell));
      throw startError(error as NodeJS.ErrnoException, file, where, env);
    }
    // Output and end may follow at once: they are listened to from the beginning.
    this.#attend(child, child.pid);
  }

  /**
   * Waits for the line that says that it is ready; where none does, it is ready when it runs.
   * @throws LodestubError `trial.host-ended` where it ends before, `trial.host-not-ready` where it takes too long
   */
  async ready(): Promise<void> {
    const { ready, readyWithinS } = this.#settings;
    if (ready === null) return;
    const timer = setTimeout(() => {
      this.#tellNotReady(
        new LodestubError({
          code: 'trial.host-not-ready',
          path: 'host.ready',
          expected: `a line that matches ${ready.source} within ${readyWithinS} s`,
          received: this.#said(),
          hint: 'Give it more time with ready-within, or leave ready out.',
        }),
      );
    }, readyWithinS * 1000);
    try {
      await this.#ready;
    } finally {
      clearTimeout(timer);
    }
  }

  /**
   * Asks it to end, with all processes of its group, and ends them by force after a while.
   * @returns when all of it has ended and its outputs are read, at once where it never ran; true: force was needed
   */
  stop(): Promise<boolean> {
    this.#stopped ??= this.#stop();
    return this.#stopped;
  }

  /** The error for a host that ended too early. @param before `it was ready`, `it had opened the port` */
  endedEarly(before: string): LodestubError {
    return new LodestubError({
      code: 'trial.host-ended',
      path: 'host.command',
      summary: `${this.#lastEnd} before ${before}`,
      received: this.#said(),
      hint: 'Run the command by hand, or look at what it wrote.',
    });
  }

  async #stop(): Promise<boolean> {
    this.#isStopping = true;
    if (this.#again !== null) clearTimeout(this.#again);
    const { stop, stopWithinS } = this.#settings;
    const isForced = (await this.#group?.end(stop, stopWithinS * 1000)) ?? false;
    await this.#over;
    return isForced;
  }

  #attend(child: Child, id: number): void {
    this.#group = new ProcessGroup(id);
    this.#starts += 1;
    this.#isRunning = true;
    child.on('error', () => {});
    const exit = new Promise<void>((resolve) => {
      child.once('exit', (code, signal) => {
        this.#ended(code, signal);
        resolve();
      });
    });
    const outputs = Promise.all([this.#read(child.stdout, 'stdout'), this.#read(child.stderr, 'stderr')]);
    this.#over = exit.then(() => this.#finish(child, outputs));
    this.#listener.life({ event: 'started', code: null, signal: null, isByUs: false });
  }

  /** After the leader has ended: what it left behind ends too, and its outputs are read to their end. */
  async #finish(child: Child, outputs: Promise<unknown>): Promise<void> {
    const { stop, stopWithinS, restart, restartAfterS } = this.#settings;
    if (this.#group !== null && !this.#isStopping) await this.#group.end(stop, stopWithinS * 1000);
    let timer: NodeJS.Timeout | undefined;
    const isLate = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, OUTPUTS_WITHIN_MS);
    });
    await Promise.race([outputs, isLate]);
    clearTimeout(timer);
    // A process that left the group may hold them for ever.
    child.stdout.destroy();
    child.stderr.destroy();
    await outputs;
    this.#listener.outputsEnded?.();
    if (!restart) this.#tellNotReady(this.endedEarly('it was ready'));
    if (!restart || this.#isStopping) return;
    this.#again = setTimeout(() => {
      this.start().catch((error: LodestubError) => this.#listener.failed?.(error));
    }, restartAfterS * 1000);
  }

  #ended(code: number | null, signal: NodeJS.Signals | null): void {
    this.#isRunning = false;
    this.#lastEnd = wordsOf({ code, signal });
    this.#listener.life({ event: 'ended', code, signal, isByUs: this.#isStopping });
  }

  /** Reads an output. @returns when it is read to its end, or given up */
  #read(stream: Readable, from: 'stdout' | 'stderr'): Promise<void> {
    const decoder = new TextDecoder();
    const lines = new LineCutter((line) => this.#line(from, line));
    const isFloodAt = floodGauge();
    let isFlood = false;
    const take = (text: string) => {
      this.#listener.text?.(from, text);
      lines.push(text);
    };
    readPaced(
      stream,
      (bytes) => take(decoder.decode(bytes, { stream: true })),
      () => {
        if (isFlood || !isFloodAt(performance.now())) return;
        isFlood = true;
        this.#listener.flooded?.(from);
      },
    );
    stream.on('error', () => {});
    return new Promise((resolve) => {
      stream.once('close', () => {
        take(decoder.decode());
        lines.end();
        resolve();
      });
    });
  }

  #line(from: 'stdout' | 'stderr', line: string): void {
    const short = line.slice(0, LONGEST_TEXT);
    this.#lastLine = short;
    this.#listener.line?.(from, short);
    if (this.#settings.ready?.test(line)) this.#tellReady();
  }

  #said(): string {
    const last = this.#lastLine;
    return last === null ? 'no line at all' : `as its last line ${JSON.stringify(last)}`;
  }
}
