import { chmodSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { ControlClient } from './control-client.js';
import type { LiveControl } from './live-control.js';
import type { RunWatch } from './run-watch.js';
import { failed, placeForSocket, type SocketPlace } from './socket-path.js';

/** So many programs may be connected at a time. */
const MOST_CLIENTS = 32;

/** A local socket through which programs control a run, in JSON lines. */
export interface ControlSocket {
  readonly path: string;
  /** From here on requests are fulfilled; what came before has waited. */
  serve(live: LiveControl): void;
  /** Ends all connections, and removes the socket; may be called twice. */
  close(): Promise<void>;
}

/**
 * Opens a control socket that only its owner can use.
 * @param wanted its path; null: one in a fresh folder
 * @throws LodestubError `control.taken`, `control.failed`
 */
export async function openControlSocket(wanted: string | null, watch: RunWatch): Promise<ControlSocket> {
  const place = await placeForSocket(wanted);
  const clients = new Set<ControlClient>();
  let live: LiveControl | null = null;
  const server = createServer((socket) => admit(socket));
  server.maxConnections = MOST_CLIENTS;
  await listen(server, place);
  // A run that ends by an error leaves nothing behind.
  process.once('exit', place.remove);

  function admit(socket: Socket): void {
    const client = new ControlClient(socket, watch, () => clients.delete(client));
    clients.add(client);
    if (live !== null) client.serve(live);
  }

  return {
    path: place.path,
    serve(ready) {
      live = ready;
      for (const client of clients) client.serve(ready);
    },
    async close() {
      process.off('exit', place.remove);
      // Nobody is let in any more while those who are there read what is left for them.
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      await Promise.all([...clients].map((client) => client.end()));
      await closed;
      place.remove();
    },
  };
}

function listen(server: Server, place: SocketPlace): Promise<void> {
  // The socket comes into being within the call, for its owner alone.
  const before = process.umask(0o177);
  return new Promise((resolve, reject) => {
    server.once('error', (error) => {
      place.leave();
      reject(failed(place.path, error));
    });
    try {
      server.listen(place.path, () => {
        chmodSync(place.path, 0o600);
        resolve();
      });
    } finally {
      process.umask(before);
    }
  });
}
