import type { Socket } from 'node:net';
import { LodestubError } from '../base/error.js';
import { isMapping } from '../base/is-mapping.js';
import type { LiveControl } from './live-control.js';
import { type Answer, checkKeys, fulfil, type Request } from './requests.js';
import type { RunWatch, WatchListener } from './run-watch.js';

/** The longest request, characters. */
const LONGEST_LINE = 65_536;
/** So many requests may wait; more are not read until there is room. */
const MOST_WAITING = 64;
/** A client that has left so many bytes unread is dropped: nothing may grow without bound. */
const MOST_UNREAD = 1_000_000;
/** How long a client may take to read what is left for it at the end, ms. */
const LINGER_MS = 300;
/** A request's values may be nested so deep: its own keys, a fault's settings, lists in them, and then some. */
const DEEPEST = 16;

/** One program on the control socket: its requests are fulfilled one after the other. */
export class ControlClient {
  readonly #socket: Socket;
  readonly #watch: RunWatch;
  readonly #waiting: string[] = [];
  #live: LiveControl | null = null;
  #text = '';
  #isBusy = false;
  #listener: WatchListener | null = null;

  constructor(socket: Socket, watch: RunWatch, gone: () => void) {
    this.#socket = socket;
    this.#watch = watch;
    socket.setEncoding('utf8');
    socket.on('data', (text: string) => this.#take(text));
    socket.on('error', () => socket.destroy());
    socket.on('close', () => {
      if (this.#listener !== null) watch.forget(this.#listener);
      gone();
    });
  }

  serve(live: LiveControl): void {
    this.#live = live;
    void this.#work();
  }

  /** Ends the connection, once what was said has been read or has waited long enough. */
  end(): Promise<void> {
    if (this.#socket.destroyed) return Promise.resolve();
    return new Promise((resolve) => {
      const timer = setTimeout(() => this.#socket.destroy(), LINGER_MS);
      this.#socket.once('close', () => {
        clearTimeout(timer);
        resolve();
      });
      this.#socket.end(() => this.#socket.destroy());
    });
  }

  #take(text: string): void {
    const lines = `${this.#text}${text}`.split('\n');
    this.#text = lines.at(-1) ?? '';
    if (lines.some((line) => line.length > LONGEST_LINE)) {
      this.#refuse();
      return;
    }
    for (const line of lines.slice(0, -1)) if (line.trim() !== '') this.#waiting.push(line);
    if (this.#waiting.length > MOST_WAITING) this.#socket.pause();
    void this.#work();
  }

  /** What comes after a line that is too long cannot be made sense of. */
  #refuse(): void {
    this.#text = '';
    this.#socket.removeAllListeners('data');
    const expected = `a line of up to ${LONGEST_LINE} characters`;
    this.#say({ ok: false, ...inWords(new LodestubError({ code: 'control.syntax', expected, received: 'more' })) });
    this.#socket.end();
  }

  async #work(): Promise<void> {
    if (this.#isBusy) return;
    this.#isBusy = true;
    while (this.#live !== null && !this.#socket.destroyed) {
      const line = this.#waiting.shift();
      if (line === undefined) break;
      if (this.#waiting.length <= MOST_WAITING) this.#socket.resume();
      await this.#answer(line, this.#live);
    }
    this.#isBusy = false;
  }

  async #answer(line: string, live: LiveControl): Promise<void> {
    let tag: unknown;
    try {
      const request = parse(line);
      tag = request.tag;
      const answer = request.do === 'watch' ? this.#beginToWatch(request, live) : await fulfil(live, request);
      this.#say({ ok: true, tag, ...answer });
    } catch (error) {
      if (!(error instanceof LodestubError)) throw error;
      this.#say({ ok: false, tag, ...inWords(error) });
    }
  }

  #beginToWatch(request: Request, live: LiveControl): Answer {
    checkKeys(request, []);
    if (this.#listener === null) {
      this.#listener = {
        epoch: () => this.#say({ type: 'status', ...live.glance() }),
        record: (line) => this.#write(`${line}\n`),
      };
      this.#watch.listen(this.#listener);
    }
    return {};
  }

  #say(message: object): void {
    this.#write(`${JSON.stringify(message)}\n`);
  }

  #write(line: string): void {
    const socket = this.#socket;
    if (socket.destroyed || socket.writableEnded) return;
    socket.write(line);
    if (socket.writableLength > MOST_UNREAD) socket.destroy();
  }
}

function inWords({ code, message }: LodestubError): { code: string; message: string } {
  return { code, message };
}

/** @throws LodestubError `control.syntax` */
function parse(line: string): Request {
  let value: unknown;
  try {
    value = JSON.parse(line);
  } catch {
    value = null;
  }
  if (isMapping(value)) {
    if (isWithin(value, DEEPEST)) return value;
    const expected = `an object nested up to ${DEEPEST} deep`;
    throw new LodestubError({ code: 'control.syntax', expected, received: 'a deeper one' });
  }
  throw new LodestubError({
    code: 'control.syntax',
    expected: 'a JSON object on one line, such as {"do":"status"}',
    received: JSON.stringify(line.slice(0, 60)),
  });
}

/** Whether a value is nested no deeper than so many levels. */
function isWithin(value: unknown, levels: number): boolean {
  if (typeof value !== 'object' || value === null) return true;
  return levels > 0 && Object.values(value).every((each) => isWithin(each, levels - 1));
}
