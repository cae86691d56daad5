import { stat } from 'node:fs/promises';
import { connect, type Socket } from 'node:net';
import type { SerialPort } from 'serialport';
import { LodestubError } from '../base/error.js';
import { parsePortSpec } from '../emit/ports/open-port.js';
import { refusalOf } from '../emit/ports/refusal.js';
import type { SpeedLine } from './find-speed.js';

/** How long a connection may take, ms. */
const CONNECT_MS = 5000;
/** How often it is looked whether a device is still there, ms. */
const LOOK_MS = 500;

/** What comes from a port. */
export interface SourceListener {
  /** @param atMs when they came, UTC by this machine, ms since 1970; never earlier than those before */
  readonly onBytes: (bytes: Uint8Array, atMs: number) => void;
  /** The port has gone, and nothing more comes. @param why a clause */
  readonly onGone: (why: string) => void;
}

/** A live port that is read. */
export interface PortSource {
  readonly name: string;
  /** Whether it has a speed: a serial device or a pty, not TCP. */
  readonly hasSpeed: boolean;
  /** Sets the speed, and throws away what came at another. @throws LodestubError `inspect.port-failed` */
  readonly setSpeed: (baud: number) => Promise<void>;
  /** Who hears what comes from now on, in place of who did before. */
  readonly hear: (listener: SourceListener) => void;
  readonly close: () => Promise<void>;
}

/** Whether a name is that of a port, not of a log: `tcp:HOST:PORT`, `COM3`, a device there is, or one below /dev. */
export async function isPortName(name: string): Promise<boolean> {
  if (/^(tcp:|COM[1-9]\d*$|\\\\\.\\)/i.test(name)) return true;
  try {
    return (await stat(name)).isCharacterDevice();
  } catch {
    return name.startsWith('/dev/');
  }
}

/**
 * Opens a serial device, a pty or a TCP server to be read; nothing is ever written to it.
 * @param name `/dev/ttyUSB0`, `COM3`, `tcp:HOST:PORT`
 * @param baud bits a second; of no account for TCP
 * @throws LodestubError `inspect.port-missing`, `inspect.port-denied`, `inspect.port-busy`, `inspect.port-failed`,
 *   `port.spec`
 */
export async function openSource(name: string, baud: number): Promise<PortSource> {
  const spec = /^[a-z]+:/i.test(name) ? parsePortSpec(name) : ({ kind: 'serial', path: name } as const);
  if (spec.kind === 'serial') return openDevice(spec.path, baud);
  if (spec.kind === 'tcp') return openClient(name, spec.host, spec.port);
  const expected = 'a serial device such as /dev/ttyUSB0 or COM3, or tcp:HOST:PORT';
  throw new LodestubError({ code: 'inspect.port-failed', path: 'port', expected, received: `"${name}"` });
}

/** Hands on what comes to whoever listens; keeps nothing. */
class Hearing {
  #listener: SourceListener | null = null;
  #why: string | null = null;
  #lastMs = 0;

  hear(listener: SourceListener): void {
    this.#listener = listener;
    if (this.#why !== null) listener.onGone(this.#why);
  }

  bytes(bytes: Uint8Array): void {
    this.#lastMs = Math.max(this.#lastMs, performance.timeOrigin + performance.now());
    if (this.#why === null) this.#listener?.onBytes(bytes, this.#lastMs);
  }

  /** Told of once. */
  gone(why: string): void {
    if (this.#why !== null) return;
    this.#why = why;
    this.#listener?.onGone(why);
  }

  /** What comes of closing is nobody's business. */
  stop(): void {
    this.#listener = null;
  }
}

async function openDevice(path: string, baud: number): Promise<PortSource> {
  const { SerialPort: Device } = await import('serialport');
  const device: SerialPort = new Device({ path, baudRate: baud, autoOpen: false });
  const error = await new Promise<Error | null>((resolve) => device.open(resolve));
  if (error) throw openError(path, error);
  const hearing = new Hearing();
  device.on('data', (bytes: Buffer) => hearing.bytes(bytes));
  device.on('error', ({ message }: Error) => hearing.gone(`reading it failed (${message})`));
  device.on('close', () => hearing.gone('the device has gone'));
  // A terminal that has hung up may read like one that is silent: that it went shows in its name alone.
  const look = () => void stat(path).catch(() => hearing.gone('the device has gone'));
  const watch = process.platform === 'win32' ? undefined : setInterval(look, LOOK_MS).unref();
  const setSpeed = async (to: number) => {
    const refused = await new Promise<Error | null>((resolve) => device.update({ baudRate: to }, resolve));
    if (refused) throw failed(path, `it cannot be set to ${to} baud (${refused.message})`, refused);
    await new Promise<void>((resolve) => device.flush(() => resolve()));
  };
  const close = async () => {
    clearInterval(watch);
    hearing.stop();
    if (device.isOpen) await new Promise<void>((resolve) => device.close(() => resolve()));
  };
  return { name: path, hasSpeed: true, setSpeed, hear: (listener) => hearing.hear(listener), close };
}

async function openClient(name: string, host: string, port: number): Promise<PortSource> {
  const socket = connect({ host, port });
  const hearing = new Hearing();
  await connected(socket, name);
  socket.on('data', (bytes: Buffer) => hearing.bytes(bytes));
  socket.on('error', ({ message }) => hearing.gone(`the connection failed (${message})`));
  socket.on('close', () => hearing.gone('the server has closed the connection'));
  const close = async () => {
    hearing.stop();
    socket.destroy();
  };
  return { name, hasSpeed: false, setSpeed: async () => {}, hear: (listener) => hearing.hear(listener), close };
}

async function connected(socket: Socket, name: string): Promise<void> {
  try {
    await new Promise<void>((resolve, reject) => {
      socket.setTimeout(CONNECT_MS, () => reject(new Error(`no answer within ${CONNECT_MS / 1000} s`)));
      socket.once('error', reject);
      socket.once('connect', () => {
        socket.setTimeout(0);
        socket.off('error', reject);
        resolve();
      });
    });
  } catch (error) {
    socket.destroy();
    const { code, message } = error as NodeJS.ErrnoException;
    const summary = code === 'ECONNREFUSED' ? 'nobody listens there' : `no connection (${message})`;
    const hint = 'Start the server first, or check host and port.';
    throw new LodestubError({ code: 'inspect.port-missing', path: name, summary, hint, cause: error });
  }
}

function openError(path: string, cause: Error): LodestubError {
  const { why, summary } = refusalOf(cause);
  if (why === 'missing') {
    const hint = 'Plug it in, or name another; a log is named by its path.';
    return new LodestubError({ code: 'inspect.port-missing', path, summary, hint, cause });
  }
  if (why === 'denied') {
    const hint = 'Add yourself to that group, and log in anew.';
    return new LodestubError({ code: 'inspect.port-denied', path, summary, hint, cause });
  }
  if (why === 'busy') {
    const hint = 'Close that program first.';
    return new LodestubError({ code: 'inspect.port-busy', path, summary, hint, cause });
  }
  return failed(path, summary, cause);
}

function failed(path: string, summary: string, cause: Error): LodestubError {
  return new LodestubError({ code: 'inspect.port-failed', path, summary, cause });
}

/**
 * A port as a search for its speed listens to it. Rejects, as `inspect.port-failed`, where it goes meanwhile.
 * @param stopped ends the listening before its time
 */
export function speedLine(source: PortSource, stopped: Promise<void>): SpeedLine {
  return {
    setSpeed: source.setSpeed,
    listen: (forMs, take) =>
      new Promise<void>((resolve, reject) => {
        let isOver = false;
        const end = () => {
          if (isOver) return;
          isOver = true;
          clearTimeout(timer);
          source.hear({ onBytes: () => {}, onGone: () => {} });
          resolve();
        };
        const timer = setTimeout(end, forMs);
        void stopped.then(end);
        source.hear({
          onBytes: (bytes) => {
            if (take(Buffer.from(bytes).toString('latin1'))) end();
          },
          onGone: (why) => {
            reject(failed(source.name, why, new Error(why)));
            end();
          },
        });
      }),
  };
}
