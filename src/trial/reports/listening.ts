import type { Server } from 'node:net';
import { LodestubError } from '../../base/error.js';

/** Where reports are taken: never from another machine. */
export const LISTENING_HOST = '127.0.0.1';

/**
 * Starts to listen on this machine alone.
 * @param port 0: a free one
 * @returns the port's number
 * @throws LodestubError `trial.port-busy`, `trial.port-denied`
 */
export async function listenForReports(server: Server, port: number): Promise<number> {
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error) => reject(listenError(port, error)));
    server.listen({ host: LISTENING_HOST, port, exclusive: true }, () => resolve());
  });
  server.removeAllListeners('error');
  server.on('error', () => {});
  const address = server.address();
  return typeof address === 'object' && address !== null ? address.port : port;
}

function listenError(port: number, cause: NodeJS.ErrnoException): LodestubError {
  const path = `reports.from, port ${port}`;
  if (cause.code === 'EADDRINUSE') {
    const hint = 'Leave the number out, and {reports} in the host’s command says which one is free.';
    return new LodestubError({ code: 'trial.port-busy', path, summary: 'another program listens there', hint, cause });
  }
  const summary = `no listening there (${cause.code ?? cause.message})`;
  const hint = 'Choose a number above 1023, or leave it out.';
  return new LodestubError({ code: 'trial.port-denied', path, summary, hint, cause });
}
