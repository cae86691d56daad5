import { createServer, type Server, type Socket } from 'node:net';
import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';
import { waitUntilSent } from './wait-until-sent.js';

/** What a slow client may leave waiting in our memory, bytes; beyond it that client loses bytes. */
const QUEUE_LIMIT_BYTES = 64 * 1024;
/** Bytes handed to a socket at once, so that a long write cannot overshoot the limit by more than this. */
const SLICE_BYTES = 16 * 1024;
/** How long close waits for clients that take nothing, ms. */
const STALL_MS = 500;

/** Where to listen. */
export interface TcpPortOptions {
  /** Name or address; default 127.0.0.1. An IPv6 address stands without brackets. */
  readonly host?: string;
  /** 0 to 65535; 0 takes a free one. */
  readonly port: number;
}

class TcpPort implements ModulePort {
  private readonly clients = new Set<Socket>();
  private isOpen = true;

  constructor(
    readonly name: string,
    private readonly server: Server,
    private readonly listener: PortListener,
  ) {
    server.on('connection', (client) => this.join(client));
    server.on('error', (error: NodeJS.ErrnoException) => {
      if (this.isOpen) listener.failed?.(listenError(name, error));
    });
  }

  /** @returns the bytes that no client or not every client got: a byte counts once, however many clients lost it */
  write(bytes: Uint8Array): number {
    if (!this.isOpen || this.clients.size === 0) return bytes.length;
    // One copy for all: sockets may hold it for long, and the caller may use its array again.
    const copy = Buffer.from(bytes);
    let mostLost = 0;
    for (const client of this.clients) mostLost = Math.max(mostLost, copy.length - give(client, copy));
    return mostLost;
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    this.isOpen = false;
    const closed = new Promise<void>((resolve) => this.server.close(() => resolve()));
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
  }

  private join(client: Socket): void {
    client.setNoDelay(true);
    client.on('data', (bytes) => {
      if (this.isOpen) this.listener.hostBytes?.(bytes);
    });
    // A client that resets is as good as one that leaves: 'close' follows.
    client.on('error', () => {});
    client.on('close', () => {
      this.clients.delete(client);
      if (this.clients.size === 0 && this.isOpen) this.listener.hostEvent?.({ event: 'close' });
    });
    this.clients.add(client);
    if (this.clients.size === 1 && this.isOpen) this.listener.hostEvent?.({ event: 'open' });
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
 * Listens on a TCP port; every client gets all bytes from when it joined. `open` is reported when the first client
 * comes and `close` when the last has left; there is no speed.
 * @throws LodestubError `port.busy`, `port.address`, `port.denied`
 */
export async function openTcpPort(options: TcpPortOptions, listener: PortListener): Promise<ModulePort> {
  const host = options.host ?? '127.0.0.1';
  const server = createServer({ allowHalfOpen: false });
  const port = await new Promise<number>((resolve, reject) => {
    server.once('error', (error) => reject(listenError(tcpName(host, options.port), error)));
    server.listen({ host, port: options.port, exclusive: true }, () => {
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : options.port);
    });
  });
  server.removeAllListeners('error');
  return new TcpPort(tcpName(host, port), server, listener);
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
