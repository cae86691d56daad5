import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import type { ReadStream } from 'node:tty';

const CTRL_C = '\x03';
const CTRL_Z = '\x1a';
const CTRL_BACKSLASH = '\x1c';
const ESCAPE = '\x1b';

/** What a keyboard tells its owner. */
export interface KeyboardListener {
  key(character: string): void;
  /** The terminal is about to be somebody else's, and later again ours. */
  suspending(): void;
  resumed(): void;
}

/**
 * Single keys of a terminal, without Enter. The keys that end, suspend or kill a program keep their meaning. While the
 * program is in the background the terminal is left alone: whoever changed it there would be stopped by the system.
 */
export class Keyboard {
  readonly #input: ReadStream;
  readonly #listener: KeyboardListener;
  #isOpen = false;
  readonly #onData = (text: string) => this.#take(text);
  readonly #onContinue = () => this.open();
  readonly #onExit = () => this.#restore();

  constructor(input: ReadStream, listener: KeyboardListener) {
    this.#input = input;
    this.#listener = listener;
    process.on('SIGCONT', this.#onContinue);
    process.on('exit', this.#onExit);
  }

  get isOpen(): boolean {
    return this.#isOpen;
  }

  /** Takes the terminal's keys, if the program is in the foreground. */
  open(): void {
    if (this.#isOpen || !isForeground()) return;
    this.#input.setRawMode(true);
    this.#input.setEncoding('latin1');
    this.#input.on('data', this.#onData);
    this.#input.resume();
    this.#isOpen = true;
    this.#listener.resumed();
  }

  /** Leaves the terminal as it was. */
  close(): void {
    process.off('SIGCONT', this.#onContinue);
    process.off('exit', this.#onExit);
    this.#restore();
  }

  #restore(): void {
    if (!this.#isOpen) return;
    this.#isOpen = false;
    this.#input.off('data', this.#onData);
    this.#input.pause();
    try {
      this.#input.setRawMode(false);
    } catch {
      // The terminal has gone.
    }
  }

  #take(text: string): void {
    // Arrows and the like come as a sequence in one piece: none of them is a key of ours.
    if (text.startsWith(ESCAPE)) return;
    for (const character of text) {
      if (character === CTRL_C) process.kill(process.pid, 'SIGINT');
      else if (character === CTRL_Z) this.#suspend();
      else if (character === CTRL_BACKSLASH) this.#quit();
      else this.#listener.key(character);
    }
  }

  /** As the terminal itself would: all that was started together stops. */
  #suspend(): void {
    this.#listener.suspending();
    this.#restore();
    process.kill(0, 'SIGTSTP');
  }

  #quit(): void {
    this.#listener.suspending();
    this.#restore();
    process.kill(process.pid, 'SIGQUIT');
  }
}

/** Whether the terminal is this process group's at present. */
function isForeground(): boolean {
  if (process.platform === 'linux') {
    // After the name in brackets: state, parent, process group, session, terminal, the terminal's process group.
    const [, , group, , , terminalGroup] =
      readFileSync('/proc/self/stat', 'latin1').split(') ').at(-1)?.split(' ') ?? [];
    return group === terminalGroup;
  }
  const { stdout } = spawnSync('ps', ['-o', 'pgid=,tpgid=', '-p', String(process.pid)], { encoding: 'latin1' });
  const [group, terminalGroup] = (stdout ?? '').trim().split(/\s+/);
  return group !== undefined && group !== '' && group === terminalGroup;
}
