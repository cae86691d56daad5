import { createServer, type Server, type Socket } from 'node:net';
import { LodestubError } from '../../base/error.js';
import { Backlog } from './backlog.js';
import type { ModulePort, PortListener } from './port.js';
import { waitUntilSent } from './wait-until-sent.js';

/** What a slow client may leave waiting in our memory, bytes; beyond it that client loses bytes. */
const QUEUE_LIMIT_BYTES = 64 * 1024;
/** Bytes handed to a socket at once, so that a long write cannot overshoot the limit by more than this. */
const SLICE_BYTES = 16 * 1024;
/** How long close waits for clients that take nothing, ms. */
const STALL_MS = 500;
/** So many clients that the port has deserted are left waiting; then the one that has waited longest is hung up. */
const MOST_DESERTED = 64;
/** So many numbers after the old one are tried for another one; then any will do. */
const NUMBERS_TRIED = 16;
const HIGHEST_NUMBER = 65535;

/** Where to listen. */
export interface TcpPortOptions {
  /** Name or address; default 127.0.0.1. An IPv6 address stands without brackets. */
  readonly host?: string;
  /** 0 to 65535; 0 takes a free one. */
  readonly port: number;
}

class TcpPort implements ModulePort {
  private readonly clients = new Set<Socket>();
  /** Clients of a port that has gone without a hang-up: they wait in vain, longest first. */
  private readonly deserted = new Set<Socket>();
  /** Those of them that the port had when it went last. */
  private silent: Socket[] = [];
  private readonly backlog = new Backlog();
  /** Null while the port is away. */
  private server: Server | null = null;
  private number: number;
  /** Counts goings and endings, by which a return that takes its time knows that it is no longer wanted. */
  private turns = 0;
  /** The return that is on its way, by its count, and its end: two at a time would be in each other's way. */
  private returning = -1;
  private lastReturn: Promise<void> = Promise.resolve();
  private isOpen = true;
  private isRefusing = false;

  constructor(
    private readonly host: string,
    server: Server,
    private readonly listener: PortListener,
  ) {
    this.number = numberOf(server);
    this.serve(server);
  }

  get name(): string {
    return tcpName(this.host, this.number);
  }

  /** @returns the bytes that no client or not every client got: a byte counts once, however many clients lost it */
  write(bytes: Uint8Array): number {
    if (!this.isOpen || this.server === null) return bytes.length;
    if (this.clients.size === 0) return this.backlog.push(bytes);
    // One copy for all: sockets may hold it for long, and the caller may use its array again.
    const copy = Buffer.from(bytes);
    let mostLost = 0;
    for (const client of this.clients) mostLost = Math.max(mostLost, copy.length - give(client, copy));
    return mostLost;
  }

  keep(bytes: number): void {
    this.backlog.limit(bytes);
  }

  refuse(isRefusing: boolean): void {
    if (isRefusing === this.isRefusing || !this.isOpen) return;
    this.isRefusing = isRefusing;
    this.listener.portEvent?.({ event: isRefusing ? 'refusing' : 'accepting' });
  }

  vanish(hangUp: boolean): void {
    this.turns++;
    if (this.server === null || !this.isOpen) {
      if (hangUp) for (const client of this.silent) client.destroy();
      return;
    }
    this.server.close();
    this.server = null;
    this.backlog.take();
    this.silent = [...this.clients];
    this.clients.clear();
    for (const client of this.silent) {
      if (hangUp) client.destroy();
      else this.deserted.add(client);
    }
    if (this.silent.length > 0) this.listener.hostEvent?.({ event: 'close' });
    this.listener.portEvent?.({ event: 'gone' });
  }

  comeBack(as: 'same' | 'other'): void {
    if (this.server !== null || !this.isOpen || this.returning === this.turns) return;
    this.turns++;
    this.returning = this.turns;
    this.silent = [];
    for (const longest of this.deserted) {
      if (this.deserted.size <= MOST_DESERTED) break;
      this.deserted.delete(longest);
      longest.destroy();
    }
    const turn = this.turns;
    this.lastReturn = this.lastReturn.then(() => this.listenAgain(as, turn));
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    this.isOpen = false;
    this.turns++;
    const { server } = this;
    const closed = new Promise<void>((resolve) => (server === null ? resolve() : server.close(() => resolve())));
    for (const client of this.deserted) client.destroy();
    await Promise.all(
      [...this.clients].map(async (client) => {
        await waitUntilSent(() => (client.destroyed ? 0 : client.writableLength), STALL_MS);
        client.destroySoon();
        // The far end may never close its half.
        await waitUntilSent(() => (client.destroyed ? 0 : 1), STALL_MS);
        client.destroy();
      }),
    );
    await closed;
    await this.lastReturn;
  }

  private async listenAgain(as: 'same' | 'other', turn: number): Promise<void> {
    if (turn !== this.turns) return;
    try {
      const server = await (as === 'same' ? listen(this.host, this.number) : listenElsewhere(this.host, this.number));
      if (turn !== this.turns) {
        server.close();
        return;
      }
      this.number = numberOf(server);
      this.serve(server);
      this.listener.portEvent?.({ event: 'back', name: this.name });
    } catch (error) {
      if (turn === this.turns) this.listener.failed?.(error as Error);
    }
  }

  private serve(server: Server): void {
    this.server = server;
    server.on('connection', (client) => {
      if (server === this.server && !this.isRefusing && this.isOpen) this.join(client);
      else client.on('error', () => {}).resetAndDestroy();
    });
    server.on('error', (error: NodeJS.ErrnoException) => {
      if (this.isOpen && server === this.server) this.listener.failed?.(listenError(this.name, error));
    });
  }

  private join(client: Socket): void {
    client.setNoDelay(true);
    client.on('data', (bytes) => {
      if (this.isOpen && this.clients.has(client)) this.listener.hostBytes?.(bytes);
    });
    // A client that resets is as good as one that leaves: 'close' follows.
    client.on('error', () => {});
    client.on('close', () => {
      this.deserted.delete(client);
      if (!this.clients.delete(client)) return;
      if (this.clients.size === 0 && this.isOpen) this.listener.hostEvent?.({ event: 'close' });
    });
    this.clients.add(client);
    if (this.clients.size === 1) this.listener.hostEvent?.({ event: 'open' });
    if (!this.backlog.isEmpty && this.clients.has(client)) client.write(this.backlog.take());
  }
}

/** Hands a client what fits. @returns how many bytes it took */
function give(client: Socket, bytes: Buffer): number {
  let given = 0;
  while (given < bytes.length && !client.destroyed && client.writable) {
    const room = QUEUE_LIMIT_BYTES - client.writableLength;
    if (room <= 0) break;
    const slice = bytes.subarray(given, given + Math.min(room, SLICE_BYTES));
    client.write(slice);
    given += slice.length;
  }
  return given;
}

/**
 * Listens on a TCP port; every client gets all bytes from when it joined, and the first also what was kept. `open` is
 * reported when the first client comes and `close` when the last has left; there is no speed.
 *
 * It can go away: with a hang-up all connections end, without one they stay, silent. Nobody can connect until it comes
 * back, at its old number or another one: the next that is free. Who is refused is connected, and reset at once.
 * @throws LodestubError `port.busy`, `port.address`, `port.denied`; when it comes back, these are reported as `failed`
 */
export async function openTcpPort(options: TcpPortOptions, listener: PortListener): Promise<ModulePort> {
  const host = options.host ?? '127.0.0.1';
  return new TcpPort(host, await listen(host, options.port), listener);
}

/** Starts to listen. @throws LodestubError `port.busy`, `port.address`, `port.denied` */
async function listen(host: string, port: number): Promise<Server> {
  const server = createServer({ allowHalfOpen: false });
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error) => reject(listenError(tcpName(host, port), error)));
    server.listen({ host, port, exclusive: true }, () => resolve());
  });
  server.removeAllListeners('error');
  return server;
}

/** Starts to listen at another number than the old one: the next that is free, or any. @throws as {@link listen} */
async function listenElsewhere(host: string, old: number): Promise<Server> {
  for (let number = old + 1; number <= Math.min(HIGHEST_NUMBER, old + NUMBERS_TRIED); number++) {
    try {
      return await listen(host, number);
    } catch (error) {
      if ((error as LodestubError).code !== 'port.busy') throw error;
    }
  }
  const server = await listen(host, 0);
  if (numberOf(server) !== old) return server;
  // Another one, while the old number is taken.
  try {
    return await listen(host, 0);
  } finally {
    server.close();
  }
}

function numberOf(server: Server): number {
  const address = server.address();
  return typeof address === 'object' && address !== null ? address.port : 0;
}

function tcpName(host: string, port: number): string {
  return `tcp:${host.includes(':') ? `[${host}]` : host}:${port}`;
}

function listenError(path: string, cause: NodeJS.ErrnoException): LodestubError {
  const known: Record<string, [code: string, summary: string, hint: string]> = {
    EADDRINUSE: ['port.busy', 'another program listens there', 'Choose another number; 0 takes a free one.'],
    EACCES: ['port.denied', 'no permission to listen there', 'Choose a number above 1023.'],
  };
  const [code, summary, hint] = known[cause.code ?? ''] ?? [
    'port.address',
    `cannot listen there (${cause.code ?? cause.message})`,
    'Give an address of this machine, such as 127.0.0.1.',
  ];
  return new LodestubError({ code, path, summary, hint, cause });
}
