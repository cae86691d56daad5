import { existsSync, mkdtempSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { connect, createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, beforeEach, expect, it } from 'vitest';
import { type ControlSocket, openControlSocket } from '../../src/control/control-socket.js';
import { until } from '../cli/process.js';
import { Controlled, scenarioOf } from './helper.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-test-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Only the owner may read, write and enter. */
const OWNER_ONLY = 0o077;

let controlled: Controlled;
let control: ControlSocket;
beforeEach(async () => {
  controlled = new Controlled(await scenarioOf());
  control = await openControlSocket(null, controlled.watch);
});
afterEach(() => control.close());

/** A program on the socket. */
class Client {
  readonly socket: Socket;
  readonly lines: Record<string, unknown>[] = [];
  isClosed = false;
  #rest = '';

  constructor(path = control.path) {
    this.socket = connect(path).setEncoding('utf8');
    this.socket.on('error', () => {});
    this.socket.on('close', () => {
      this.isClosed = true;
    });
    this.socket.on('data', (text) => {
      const lines = `${this.#rest}${text}`.split('\n');
      this.#rest = lines.pop() ?? '';
      for (const line of lines) this.lines.push(JSON.parse(line) as Record<string, unknown>);
    });
  }

  /** Writes requests, and waits for as many lines in all. */
  async say(text: string, lines: number): Promise<Record<string, unknown>[]> {
    this.socket.write(text);
    await until(
      () => this.lines.length >= lines,
      () => JSON.stringify(this.lines),
    );
    return this.lines;
  }
}

it('is the owner’s alone, in a folder of its own, and gone at the end', async () => {
  expect(statSync(control.path).mode & OWNER_ONLY).toBe(0);
  expect(statSync(dirname(control.path)).mode & OWNER_ONLY).toBe(0);
  await control.close();
  expect(existsSync(dirname(control.path))).toBe(false);
});

it('keeps what comes before the run until it can be done, in order', async () => {
  const client = new Client();
  client.socket.write('{"do":"pause","tag":"a"}\n{"do":"status","tag":"b"}\n');
  await new Promise((resolve) => setTimeout(resolve, 50));
  expect(client.lines).toEqual([]);
  control.serve(controlled.live);
  const [first, second] = await client.say('', 2);
  expect(first).toEqual({ ok: true, tag: 'a', atMs: 0 });
  expect(second).toMatchObject({ ok: true, tag: 'b', paused: true });
});

it('answers each line, also one that makes no sense, and one that came in pieces', async () => {
  control.serve(controlled.live);
  const client = new Client();
  client.socket.write('{"do":"sta');
  const answers = await client.say('tus"}\r\n\nnonsense\n[1]\n{"do":"fly","tag":4}\n', 4);
  expect(answers.map(({ ok }) => ok)).toEqual([true, false, false, false]);
  expect(answers.slice(1).map(({ code }) => code)).toEqual(['control.syntax', 'control.syntax', 'control.request']);
  expect(answers[3]).toMatchObject({ tag: 4 });
});

it('tells watchers of each epoch, and of what happens, and nobody else', async () => {
  control.serve(controlled.live);
  const [watcher, other] = [new Client(), new Client()];
  await watcher.say('{"do":"watch"}\n{"do":"watch"}\n', 2);
  await other.say('{"do":"start","fault":"silence","for":"1 s"}\n', 1);
  controlled.run.noteHost({ event: 'speed', baud: 4800 }, 100);
  controlled.pass(2500);
  await until(
    () => watcher.lines.length >= 8,
    () => JSON.stringify(watcher.lines),
  );
  const told = watcher.lines.slice(2);
  expect(told.filter(({ type }) => type === 'status').map(({ epoch }) => epoch)).toEqual([0, 1, 2]);
  expect(told.filter(({ type }) => type === 'fault')).toMatchObject([
    { id: 'live-1.1', phase: 'begin' },
    { id: 'live-1.1', phase: 'end' },
  ]);
  expect(told.filter(({ type }) => type === 'host')).toMatchObject([{ event: 'speed', baud: 4800 }]);
  expect(other.lines).toHaveLength(1);
});

it('refuses a line without end, and drops a watcher that does not read, but not the others', async () => {
  control.serve(controlled.live);
  const endless = new Client();
  await endless.say('x'.repeat(70_000), 1);
  expect(endless.lines[0]).toMatchObject({ ok: false, code: 'control.syntax' });
  await until(() => endless.isClosed, 'the end of the connection');
  const [slow, quick] = [new Client(), new Client()];
  await slow.say('{"do":"watch"}\n', 1);
  await quick.say('{"do":"watch"}\n', 1);
  slow.socket.pause();
  // Far more than the system and the socket hold.
  const record = `{"type":"command","filler":"${'x'.repeat(10_000)}"}`;
  for (let k = 0; k < 400; k++) {
    controlled.watch.record(record);
    if (k % 20 === 0) await until(() => quick.lines.length >= k, 'the other one to read');
  }
  slow.socket.resume();
  await until(() => slow.isClosed, 'the slow watcher to be dropped');
  expect(quick.isClosed).toBe(false);
  await until(() => quick.lines.length === 401, 'the other one to have read all');
});

it('refuses what is nested too deep, and goes on', async () => {
  control.serve(controlled.live);
  const client = new Client();
  const deep = (levels: number) => `${'['.repeat(levels)}${']'.repeat(levels)}`;
  const lines = await client.say(`{"do":"status","tag":${deep(30_000)}}\n{"do":"status","tag":${deep(3)}}\n`, 2);
  expect(lines).toMatchObject([
    { ok: false, code: 'control.syntax' },
    { ok: true, tag: [[[]]] },
  ]);
  expect(lines[0]?.message).toMatch(/nested up to 16 deep/);
});

it('is gone soon after it is closed, though one reads nothing and another comes again and again', async () => {
  control.serve(controlled.live);
  const { path } = control;
  const slow = new Client();
  await slow.say('{"do":"watch"}\n', 1);
  slow.socket.pause();
  for (let k = 0; k < 40; k++) controlled.watch.record(`{"type":"command","filler":"${'x'.repeat(10_000)}"}`);
  const comes = setInterval(() => new Client(path), 20);
  await control.close();
  clearInterval(comes);
  expect(existsSync(path)).toBe(false);
  slow.socket.destroy();
});

it('takes the place of a socket that a killed run has left, and of nothing else', async () => {
  const path = join(folder, 'control');
  const taken = await openControlSocket(path, controlled.watch);
  await expect(openControlSocket(path, controlled.watch)).rejects.toMatchObject({ code: 'control.taken' });
  await taken.close();
  const file = join(folder, 'file');
  writeFileSync(file, 'mine');
  await expect(openControlSocket(file, controlled.watch)).rejects.toMatchObject({ code: 'control.taken' });
  await expect(openControlSocket(join(folder, 'no', 'such'), controlled.watch)).rejects.toMatchObject({
    code: 'control.failed',
  });
  const loop = join(folder, 'loop');
  symlinkSync(loop, loop);
  for (const wanted of [join(folder, 'x'.repeat(300)), join(loop, 'control'), join(file, 'control')]) {
    await expect(openControlSocket(wanted, controlled.watch)).rejects.toMatchObject({ code: 'control.failed' });
  }
});

it('of two that want one place at once only one gets it, and keeps it', async () => {
  const path = join(folder, 'at-once');
  const both = await Promise.allSettled([1, 2].map(() => openControlSocket(path, controlled.watch)));
  const got = both.filter((each) => each.status === 'fulfilled').map(({ value }) => value);
  expect(got).toHaveLength(1);
  got[0]?.serve(controlled.live);
  expect(await new Client(path).say('{"do":"status"}\n', 1)).toMatchObject([{ ok: true }]);
  await got[0]?.close();
});

it('the place of one that listens no more is taken', async () => {
  const path = join(folder, 'stale');
  // A socket that is bound and not listened on, as a killed process leaves it.
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(path, resolve));
  const copy = join(folder, 'copy');
  const { linkSync } = await import('node:fs');
  linkSync(path, copy);
  await new Promise<void>((resolve) => server.close(() => resolve()));
  expect(statSync(copy).isSocket()).toBe(true);
  const again = await openControlSocket(copy, controlled.watch);
  again.serve(controlled.live);
  const client = new Client(copy);
  expect(await client.say('{"do":"status"}\n', 1)).toMatchObject([{ ok: true }]);
  await again.close();
  expect(existsSync(copy)).toBe(false);
});
