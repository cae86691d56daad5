import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJournal } from './journal.js';
import { lodestub, Running, sleep, temporaryFolder, until } from './process.js';

const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const folder = temporaryFolder();
const hasScript = /util-linux/.test(String(spawnSync('script', ['--version']).stdout));
const ESCAPE = '\x1b';
const CTRL_C = '\x03';
const NEW_LINE = `\r${ESCAPE}[2K`;

const pty = await import('node-pty').catch(() => null);

/** Runs `lodestub` in a terminal of 200 columns. */
function inTerminal(...args: string[]) {
  const command = ['stty cols 200;', `'${process.execPath}'`, `'${BIN}'`, ...args.map((arg) => `'${arg}'`)].join(' ');
  const options = ['--quiet', '--return', '--command', command, '/dev/null'];
  return new Running('script', options, { cwd: folder, env: { TERM: 'xterm', FORCE_COLOR: '1' } }).ended;
}

/** A person at a terminal, with a shell that tells afterwards how the terminal was left. */
class Person {
  shown = '';
  hasEnded = false;
  readonly #terminal;

  constructor(args: readonly string[], columns = 100, rows = 30) {
    if (pty === null) throw new Error('node-pty is missing');
    const command = `'${process.execPath}' '${BIN}' ${args.map((arg) => `'${arg}'`).join(' ')}`;
    const shell = ['-c', `${command}; echo "code $?"; stty -a`];
    this.#terminal = pty.spawn('/bin/sh', shell, { cols: columns, rows, cwd: folder, name: 'xterm' });
    this.#terminal.onData((text) => {
      this.shown += text;
    });
    this.#terminal.onExit(() => {
      this.hasEnded = true;
    });
  }

  press(keys: string): void {
    this.#terminal.write(keys);
  }

  resize(columns: number, rows: number): void {
    this.#terminal.resize(columns, rows);
  }

  /** The last drawing of the live line, without colour. */
  get line(): string {
    // biome-ignore lint/suspicious/noControlCharactersInRegex: colours are what is taken away.
    return (this.shown.split(NEW_LINE).at(-1) ?? '').replace(/\x1b\[\d*m/g, '');
  }

  shows(pattern: RegExp): Promise<void> {
    return until(
      () => pattern.test(this.line),
      () => `${pattern}: ${JSON.stringify(this.line)}`,
    );
  }

  /** Waits for the end. @returns the exit code, and what stty says */
  async end(): Promise<{ code: string | undefined; stty: string }> {
    await until(
      () => this.hasEnded,
      () => `the end: ${JSON.stringify(this.shown.slice(-400))}`,
    );
    const [, code, stty = ''] = /code (\d+)([\s\S]*)$/.exec(this.shown) ?? [];
    return { code, stty };
  }
}

/** A terminal as a shell has it: lines, echo, signals. */
const USUAL = /(?<!-)icanon[\s\S]* echo /;

describe.skipIf(!hasScript)('in a terminal (needs script of util-linux)', () => {
  it.concurrent('run shows one live line: simulated, time, state, satellites, position, load', async () => {
    const { code, stdout } = await inTerminal('run', 'drive', '--for', '12 s', '--pace', '6');
    expect(code).toBe(0);
    const drawn = stdout.split(NEW_LINE).slice(1);
    expect(drawn.length).toBeGreaterThan(3);
    const last = drawn.at(-1) as string;
    expect(last).toContain('SIMULATED 00:00:1');
    expect(last).toMatch(
      /pace 6 \| 3d fix \| used \d+ of \d+ \| 46\.\d+, 8\.\d+ \| line \d+ % \| C\/N0 mean\/best \d+\/\d+ dB-Hz \| \d+ B/,
    );
    expect(last).toMatch(/line \d+ %/);
    // One line: nothing but the last drawing ends it.
    for (const line of drawn.slice(0, -1)) expect(line).not.toContain('\n');
  });

  it.concurrent('write shows progress with the time left', async () => {
    const { code, stdout } = await inTerminal('write', 'bench', '--for', '1 d', '--out', join(folder, 'bar.nmea'));
    expect(code).toBe(0);
    expect(stdout).toMatch(/\d+ %\s+\d+ of 86400 epochs\s+\S+ left/);
  });
});

describe.skipIf(pty === null)('keys in a terminal', () => {
  it('pause, step, change the pace, start and clear, list themselves; the journal has it', async () => {
    const journal = join(folder, 'keys.jsonl');
    const person = new Person(['run', 'bench', '--port', 'file:/dev/null', '--journal', journal, '--no-control']);
    await person.shows(/SIMULATED 00:00:0[1-9]/);
    expect(person.shown).toContain('keys: h lists them');
    person.press('+');
    await person.shows(/ \| pace 2 \| /);
    person.press('--');
    await person.shows(/ \| pace 0.5 \| /);
    person.press('+1');
    await person.shows(/ \| silence \| /);
    person.press(' ');
    await person.shows(/ \| PAUSED \| .*silence/);
    const { line } = person;
    await sleep(1200);
    expect(person.line.slice(0, 18)).toBe(line.slice(0, 18));
    person.press('1');
    await person.shows(/PAUSED \| (?!.*silence)/);
    person.press('.');
    await until(() => person.line.slice(0, 18) !== line.slice(0, 18), 'the step');
    await person.shows(/ \| PAUSED \| /);
    person.press('h');
    await until(() => /space pause \| \. step .*q stop[\s\S]*1 silence \| 2 /.test(person.shown), 'the help');
    // A key that is none, and an arrow, do nothing.
    person.press(`zZ7${ESCAPE}[A`);
    await person.shows(/ \| restart \| |PAUSED/);
    person.press('q');
    const { code, stty } = await person.end();
    expect(code).toBe('0');
    expect(stty).toMatch(USUAL);
    const records = readJournal(journal) as unknown as { type: string; do?: string; kind?: string; phase?: string }[];
    const done = records.filter(({ type }) => type === 'control').map((each) => each.do);
    expect(done.slice(0, 8)).toEqual(['pace', 'pace', 'pace', 'pace', 'start', 'pause', 'clear', 'step']);
    const silence = records.filter(({ type, kind }) => type === 'fault' && kind === 'silence');
    expect(silence.map(({ phase }) => phase)).toEqual(['begin', 'end']);
  });

  it('Ctrl-C ends the run with code 0, and leaves the terminal as it was, from the sky too', async () => {
    const person = new Person(['run', 'bench', '--port', 'file:/dev/null', '--no-control']);
    await person.shows(/SIMULATED 00:00:0[1-9]/);
    person.press('v');
    const view = () => person.shown.slice(person.shown.lastIndexOf(`${ESCAPE}[?1049h`));
    await until(() => view().includes('C/N0 in dB-Hz against elevation'), 'the sky');
    await until(() => view().includes('must never feed live navigation'), 'the caution');
    person.press(CTRL_C);
    const { code, stty } = await person.end();
    expect(code).toBe('0');
    expect(stty).toMatch(USUAL);
    expect(person.shown.lastIndexOf(`${ESCAPE}[?1049l`)).toBeGreaterThan(person.shown.lastIndexOf(`${ESCAPE}[?1049h`));
    expect(person.shown.lastIndexOf(`${ESCAPE}[?25h`)).toBeGreaterThan(person.shown.lastIndexOf(`${ESCAPE}[?25l`));
  });

  it('a run that fails leaves the terminal as it was', async () => {
    const person = new Person(['run', 'bench', '--port', 'file:/dev/full', '--no-control', '--pace', '20']);
    const { code, stty } = await person.end();
    expect(code).toBe('1');
    expect(stty).toMatch(USUAL);
    expect(person.shown).toContain('out.full');
  });

  it('in the background the terminal is left alone, and the run goes on', async () => {
    const out = join(folder, 'background.nmea');
    const shell = `'${process.execPath}' '${BIN}' run bench --no-control --pace 20 --for '20 s' --port 'file:${out}'`;
    const terminal = pty?.spawn('/bin/bash', ['-i'], { cols: 100, rows: 30, cwd: folder, name: 'xterm' });
    let shown = '';
    terminal?.onData((text) => {
      shown += text;
    });
    terminal?.write(`${shell} & wait $!; echo "code $?"\r`);
    await until(
      () => /^code 0/m.test(shown),
      () => JSON.stringify(shown.slice(-400)),
    );
    expect(shown).not.toContain('keys: ');
    expect(readFileSync(out, 'latin1').split('\r\n').length).toBeGreaterThan(100);
    terminal?.write('exit\r');
  });

  it('a terminal that becomes narrower has the pieces of the old line taken away', async () => {
    const person = new Person(['run', 'bench', '--port', 'file:/dev/null', '--no-control'], 100);
    await person.shows(/SIMULATED 00:00:0[2-9].{40}/);
    const length = person.line.length;
    person.resize(30, 30);
    const rows = Math.ceil(length / 30);
    await until(() => person.shown.includes(`\r${ESCAPE}[${rows - 1}A${ESCAPE}[J`), `${rows} rows to be cleared`);
    await until(() => person.line.length <= 29, 'a short line');
    person.press('q');
    expect((await person.end()).code).toBe('0');
  });
});

describe('without a terminal nothing is drawn', () => {
  it.concurrent('run and write: standard error has the caution alone, and where the control socket is', async () => {
    const [run, write] = await Promise.all([
      lodestub(['run', 'drive', '--for', '4 s', '--pace', '4']),
      lodestub(['write', 'bench', '--out', join(folder, 'quiet.nmea')]),
    ]);
    for (const { code, stderr } of [run, write]) {
      expect(code).toBe(0);
      expect(stderr).toMatch(/^SIMULATED DATA.+\n.+\n(control: \/.+\n)?$/);
      expect(stderr).not.toContain('\r');
      expect(stderr).not.toContain(ESCAPE);
    }
    expect(run.stderr).toContain('control: ');
    expect(write.stderr).not.toContain('control: ');
    expect(write.stdout).toBe('');
  });
});
