import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJournal, sentStream } from './journal.js';
import { Lodestub, lodestub, Running, SerialHost, sleep, temporaryFolder, until } from './process.js';

const folder = temporaryFolder();
const hasPython = spawnSync('python3', ['--version']).status === 0;

const scenario = join(folder, 'roof.yaml');
writeFileSync(
  scenario,
  [
    '# On a roof.',
    'lodestub: 1',
    'seed: 3',
    'start: 2026-03-01T12:00:00Z',
    'receiver: { start: hot }',
    'route: [{ hold: 1 h, at: [47.1, 8.2, 430 m] }]',
    '',
  ].join('\n'),
);

/** Where the control socket is, once that has been said. */
async function socketOf(run: Lodestub): Promise<string> {
  const read = () => /^control: (.+)$/m.exec(run.stderr)?.[1];
  await until(
    () => read() !== undefined,
    () => `the control socket: ${run.stderr}`,
  );
  return read() as string;
}

type Answer = Readonly<Record<string, unknown>>;

/** A program in this process on the control socket. */
class Program {
  readonly #socket;
  readonly #answers: Answer[] = [];
  #rest = '';
  #asked = 0;

  constructor(path: string) {
    this.#socket = connect(path).setEncoding('utf8');
    this.#socket.on('error', () => {});
    this.#socket.on('data', (text) => {
      const lines = `${this.#rest}${text}`.split('\n');
      this.#rest = lines.pop() ?? '';
      for (const line of lines) this.#answers.push(JSON.parse(line) as Answer);
    });
  }

  async ask(request: Answer): Promise<Answer> {
    const place = this.#asked++;
    this.#socket.write(`${JSON.stringify(request)}\n`);
    await until(() => this.#answers.length > place, JSON.stringify(request));
    return this.#answers[place] as Answer;
  }
}

/** Makes of a journal a scenario, and writes what it sends. */
async function repeated(journal: string, name: string): Promise<string> {
  const [again, out] = [join(folder, `${name}.again.yaml`), join(folder, `${name}.again.nmea`)];
  const made = await lodestub(['repeat', journal, '--out', again]);
  expect(made).toMatchObject({ code: 0, stdout: '', stderr: '' });
  expect(readFileSync(again, 'utf8')).toContain('# On a roof.');
  expect((await lodestub(['write', again, '--out', out])).code).toBe(0);
  return readFileSync(out, 'latin1');
}

/** One fault of every stage, for some time or until it is cleared, and other surroundings. */
const DEEDS: readonly Answer[] = [
  { do: 'start', fault: 'signal-loss', for: '3 s' },
  { do: 'start', fault: 'frozen-position' },
  { do: 'start', fault: 'bad-checksum', with: { share: 0.5 } },
  { do: 'start', fault: 'garbage-bytes', with: { size: 20 } },
  { do: 'start', fault: 'silence', for: '1.5 s' },
  { do: 'start', surroundings: 'tunnel', for: '4 s' },
  { do: 'start', fault: 'restart', with: { start: 'hot' } },
];

describe('a run that is controlled through its socket', () => {
  it('is repeated byte for byte, with faults of every stage started and cleared by hand', async () => {
    const [journal, out] = [join(folder, 'all.jsonl'), join(folder, 'all.nmea')];
    const port = `file:${out}`;
    const run = new Lodestub(['run', scenario, '--port', port, '--pace', '50', '--for', '90 s', '--journal', journal]);
    const program = new Program(await socketOf(run));
    const ids: string[] = [];
    for (const deed of DEEDS) {
      await sleep(60);
      const answer = await program.ask(deed);
      expect(answer).toMatchObject({ ok: true });
      ids.push(answer.id as string);
    }
    await program.ask({ do: 'pause' });
    // While time stands still, several things happen at one time.
    for (const id of [ids[1], ids[2]]) expect(await program.ask({ do: 'clear', id })).toMatchObject({ ok: true });
    expect(await program.ask({ do: 'start', fault: 'cut-then-dollar' })).toMatchObject({ ok: true });
    expect(await program.ask({ do: 'step' })).toMatchObject({ ok: true });
    expect(await program.ask({ do: 'status' })).toMatchObject({ ok: true, paused: true, pace: 50, seed: 3 });
    await program.ask({ do: 'resume' });
    expect((await run.ended).code).toBe(0);
    const stream = readFileSync(out, 'latin1');
    expect(sentStream(readJournal(journal)) === stream).toBe(true);
    const again = await repeated(journal, 'all');
    expect(again.length).toBe(stream.length);
    expect(again === stream).toBe(true);
    const plain = join(folder, 'plain.nmea');
    await lodestub(['write', scenario, '--for', '90 s', '--out', plain]);
    expect(readFileSync(plain, 'latin1') === stream).toBe(false);
  });

  it('is repeated with what a host has sent over the pty', async () => {
    const journal = join(folder, 'host.jsonl');
    const run = new Lodestub(['run', scenario, '--pace', '20', '--for', '60 s', '--journal', journal]);
    const { port } = await run.begun();
    const host = new SerialHost(port, 9600);
    await host.ready();
    for (const text of ['$GPGPQ,GGA*27\r\n', '$GPGPQ,', 'RMC*3B\r\n', '\u0000\u00ff']) {
      await sleep(80);
      writeFileSync(port, Buffer.from(text, 'latin1'));
    }
    expect((await run.ended).code).toBe(0);
    await host.ended;
    const records = readJournal(journal);
    const heard = records.filter(({ type, event }) => type === 'host' && event === 'bytes');
    expect(heard.map(({ base64 }) => Buffer.from(base64 as string, 'base64').toString('latin1')).join('')).toBe(
      '$GPGPQ,GGA*27\r\n$GPGPQ,RMC*3B\r\n\u0000\u00ff',
    );
    expect((await repeated(journal, 'host')) === sentStream(records)).toBe(true);
  });

  it('that is stopped: what was sent until then comes again', async () => {
    const journal = join(folder, 'stopped.jsonl');
    const run = new Lodestub(['run', scenario, '--port', 'file:/dev/null', '--pace', '50', '--journal', journal]);
    const program = new Program(await socketOf(run));
    await until(() => /started: /.test(run.stdout), 'the start');
    await sleep(300);
    await program.ask({ do: 'start', offer: 'garbage-bytes' });
    await sleep(300);
    expect(await program.ask({ do: 'stop' })).toEqual({ ok: true });
    expect((await run.ended).code).toBe(0);
    const sent = sentStream(readJournal(journal));
    const again = await repeated(journal, 'stopped');
    expect(sent.length).toBeGreaterThan(1000);
    expect(again.startsWith(sent)).toBe(true);
  });

  it.skipIf(!hasPython)('by a program in Python: injects while it reads the port', async () => {
    const run = new Lodestub(['run', scenario, '--for', '20 s', '--pace', '5']);
    const path = await socketOf(run);
    const { port } = await run.begun();
    const code = [
      'import json, socket, sys',
      'control = socket.socket(socket.AF_UNIX); control.connect(sys.argv[1])',
      'lines = control.makefile("rw")',
      'def ask(**request):',
      '    lines.write(json.dumps(request) + "\\n"); lines.flush()',
      '    return json.loads(lines.readline())',
      'port = open(sys.argv[2], "rb", buffering=0)',
      'port.read(10)',
      'print(json.dumps(ask(do="start", fault="silence", **{"for": "2 s", "tag": "mine"})))',
      'print(json.dumps(ask(do="start", fault="silence", **{"for": "2 parsecs"})))',
      'print(json.dumps(ask(do="stop")))',
    ].join('\n');
    const program = new Running('python3', ['-c', code, path, port]);
    const { stdout, stderr, code: ended } = await program.ended;
    expect({ ended, stderr }).toEqual({ ended: 0, stderr: '' });
    const [first, second, third] = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Answer);
    expect(first).toMatchObject({ ok: true, tag: 'mine', id: 'live-1.1' });
    expect(second).toMatchObject({ ok: false, code: 'scenario.unit' });
    expect(third).toEqual({ ok: true });
    expect((await run.ended).code).toBe(0);
  });
});

describe('the socket of a run', () => {
  it.each(['SIGTERM', 'SIGINT'] as const)('is the owner’s alone, and gone after %s', async (signal) => {
    const run = new Lodestub(['run', scenario, '--port', 'file:/dev/null']);
    const path = await socketOf(run);
    await run.begun();
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect(statSync(dirname(path)).mode & 0o777).toBe(0o700);
    run.signal(signal);
    expect((await run.ended).code).toBe(0);
    expect(existsSync(dirname(path))).toBe(false);
  });

  it('ends a run that stands still: a signal, after a pause', async () => {
    const run = new Lodestub(['run', scenario, '--port', 'file:/dev/null']);
    const program = new Program(await socketOf(run));
    await run.begun();
    await program.ask({ do: 'pause' });
    run.signal('SIGTERM');
    expect((await run.ended).code).toBe(0);
  });

  it('stands where --control says, also after a run that was killed; --no-control: there is none', async () => {
    const path = join(folder, 'chosen');
    const killed = new Lodestub(['run', scenario, '--port', 'file:/dev/null', '--control', path]);
    await killed.begun();
    const busy = await lodestub(['run', scenario, '--port', 'file:/dev/null', '--control', path]);
    expect(busy.code).toBe(2);
    expect(busy.stderr).toContain('control.taken: ');
    killed.signal('SIGKILL');
    await killed.ended;
    expect(existsSync(path)).toBe(true);
    const run = new Lodestub(['run', scenario, '--port', 'file:/dev/null', '--control', path, '--for', '1 s']);
    expect(await socketOf(run)).toBe(path);
    expect((await run.ended).code).toBe(0);
    expect(existsSync(path)).toBe(false);
    const none = await lodestub(['run', scenario, '--port', 'file:/dev/null', '--no-control', '--for', '1 s']);
    expect(none).toMatchObject({ code: 0 });
    expect(none.stderr).not.toContain('control');
  });
});

describe('repeat', () => {
  it('replaces no file unasked, and says what is wrong with a journal', async () => {
    const [taken, notes] = [join(folder, 'taken.yaml'), join(folder, 'notes.txt')];
    writeFileSync(taken, 'mine\n');
    writeFileSync(notes, 'not a journal\n');
    const [first, second, third] = await Promise.all([
      lodestub(['repeat', notes, '--out', taken]),
      lodestub(['repeat', notes, '--out', join(folder, 'new.yaml')]),
      lodestub(['repeat', join(folder, 'none.jsonl'), '--out', join(folder, 'new2.yaml')]),
    ]);
    expect([first.code, second.code, third.code]).toEqual([2, 2, 2]);
    expect(first.stderr).toContain('out.exists: ');
    expect(second.stderr).toContain('journal.format: ');
    expect(third.stderr).toContain('journal.missing: ');
    expect(readFileSync(taken, 'utf8')).toBe('mine\n');
  });
});
