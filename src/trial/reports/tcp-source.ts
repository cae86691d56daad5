import { createServer, type Socket } from 'node:net';
import { LISTENING_HOST, listenForReports } from './listening.js';
import { readPaced } from './paced.js';
import { readerOf } from './reader-of.js';
import type { ReportContext, ReportTaker } from './report-reader.js';
import type { ReportSource } from './report-source.js';
import type { ReportsSettings } from './reports-settings.js';

/** So many connections at a time; further ones are refused. */
const MOST_CONNECTIONS = 100;
/** How long those that are open at the end may still send, ms. */
const LAST_WORDS_MS = 500;

/**
 * Takes reports on a TCP port of this machine; each connection is a text of its own.
 * @throws LodestubError `trial.port-busy`, `trial.port-denied`
 */
export async function openTcpSource(
  settings: ReportsSettings,
  port: number,
  take: ReportTaker,
  context: ReportContext,
): Promise<ReportSource> {
  const open = new Set<Socket>();
  let hint: string | null = null;
  const server = createServer((socket) => {
    const reader = readerOf(settings, take, context);
    const decoder = new TextDecoder();
    open.add(socket);
    readPaced(socket, (bytes) => reader.push(decoder.decode(bytes, { stream: true })));
    // A host that is killed resets its connections: 'close' follows.
    socket.on('error', () => {});
    socket.on('close', () => {
      open.delete(socket);
      reader.push(decoder.decode());
      reader.end();
      hint = reader.hint() ?? hint;
    });
  });
  server.maxConnections = MOST_CONNECTIONS;
  const number = await listenForReports(server, port);
  return {
    address: `${LISTENING_HOST}:${number}`,
    hostText: () => {},
    hostEnded: () => {},
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      const timer = setTimeout(() => {
        for (const socket of open) socket.destroy();
      }, LAST_WORDS_MS);
      await closed;
      clearTimeout(timer);
    },
    hint: () => hint,
  };
}
