import { stringify } from 'yaml';
import { LiveControl } from '../../src/control/live-control.js';
import { RunWatch } from '../../src/control/run-watch.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import type { Scenario } from '../../src/scenario/scenario.js';
import { roof } from '../run/helper.js';

export const NOW = { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 };

/** A clock that is moved by hand; it stands still as the real one does. */
export class HandClock {
  pace = 1;
  isStarted = true;
  #nowMs = 0;
  #limitMs = Infinity;
  #isHeld = false;

  get isPaused(): boolean {
    return this.#isHeld || this.#nowMs >= this.#limitMs;
  }

  nowMs(): number {
    return this.#nowMs;
  }

  /** So much simulated time passes, unless time stands still. */
  move(deltaMs: number): void {
    if (!this.#isHeld) this.#nowMs = Math.min(this.#limitMs, this.#nowMs + deltaMs);
  }

  pause(): void {
    this.#isHeld = true;
  }

  resume(): void {
    this.goOnUntil(Infinity);
  }

  goOnUntil(limitMs: number): void {
    this.#isHeld = false;
    this.#limitMs = Math.max(this.#nowMs, limitMs);
  }

  setPace(pace: number): void {
    this.pace = pace;
  }
}

/** A run that is controlled by a test. */
export class Controlled {
  readonly clock = new HandClock();
  readonly watch = new RunWatch();
  readonly lines: string[] = [];
  readonly run: ModuleRun;
  readonly live: LiveControl;
  bytes = '';
  isStopped = false;

  constructor(readonly scenario: Scenario) {
    this.run = new ModuleRun(scenario, {
      now: NOW,
      send: (text) => {
        this.bytes += text;
        this.watch.count(text.length, 0);
      },
      onStep: (step) => this.watch.see(step),
      journal: (line) => {
        this.lines.push(line);
        this.watch.record(line);
      },
    });
    this.live = new LiveControl({
      run: this.run,
      clock: this.clock,
      scenario,
      watch: this.watch,
      portName: () => 'memory',
      stop: () => {
        this.isStopped = true;
      },
    });
  }

  /** Lets time pass, in pieces of 7 ms, as a clock would. */
  pass(deltaMs: number): void {
    for (let leftMs = deltaMs; leftMs > 0 && !this.run.isOver; leftMs -= 7) {
      this.clock.move(Math.min(7, leftMs));
      this.run.advanceTo(this.clock.nowMs());
    }
  }

  /** Bytes come from the host. */
  hear(text: string): void {
    this.run.hear(Buffer.from(text, 'latin1'), this.clock.nowMs());
  }

  /** To the end of the run. */
  finish(): void {
    this.clock.resume();
    this.run.advanceTo(Infinity);
    this.run.finish();
  }

  /** Ends it now, with the sentence that is on the line. */
  stop(): void {
    this.run.stop();
    this.run.advanceTo(this.run.endMs);
    this.run.finish();
  }
}

/** A scenario as text is read. */
export function scenarioOf(more: Readonly<Record<string, unknown>> = {}): Promise<Scenario> {
  return readScenario(stringify(roof({ duration: '20 s', ...more })), { file: 'roof.yaml', baseFolder: '' });
}
