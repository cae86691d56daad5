import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { Duplex } from 'node:stream';
import { LISTENING_HOST, listenForReports } from './listening.js';
import { readerOf } from './reader-of.js';
import { LONGEST_TEXT } from './record-sink.js';
import type { ReportContext, ReportTaker } from './report-reader.js';
import type { ReportSource } from './report-source.js';
import type { ReportsSettings } from './reports-settings.js';

/** The largest body that is read, bytes. */
const LARGEST_BODY = 1_000_000;
/** How long requests that are open at the end may still last, ms. */
const LAST_WORDS_MS = 500;

/**
 * Takes reports by HTTP on a port of this machine: POST or PUT, whatever the path. A body is a text of its own: one
 * report, or several; as JSON also an object over several lines, or a list. The answer is 204, or 400 and why.
 * @throws LodestubError `trial.port-busy`, `trial.port-denied`
 */
export async function openHttpSource(
  settings: ReportsSettings,
  port: number,
  take: ReportTaker,
  context: ReportContext,
): Promise<ReportSource> {
  let hint: string | null = null;
  const read = (text: string): string | null => {
    let problem: string | null = null;
    const bad = (part: string, why: string) => {
      problem ??= why;
      take.bad(part, why);
    };
    const reader = readerOf(settings, { ...take, report: (each) => take.report(each), bad }, context);
    reader.push(settings.format.name === 'json-lines' ? jsonLines(text) : text);
    reader.end();
    hint = reader.hint() ?? hint;
    return problem;
  };
  /** Connections with a request that has begun: what goes wrong there, the request itself tells. */
  const begun = new WeakSet<Duplex>();
  const server = createServer((request, response) => {
    begun.add(request.socket);
    response.on('finish', () => begun.delete(request.socket));
    const answer = (status: number, why = '', headers: Record<string, string> = {}) => {
      if (response.writableEnded) return;
      response.writeHead(status, {
        ...(why === '' ? {} : { 'content-type': 'text/plain; charset=utf-8' }),
        ...headers,
      });
      response.end(why === '' ? undefined : `${why}\n`);
    };
    if (request.method !== 'POST' && request.method !== 'PUT') {
      answer(405, 'Reports are sent by POST or PUT.', { allow: 'POST, PUT' });
      request.resume();
      return;
    }
    takeBody(request, response, (body, why) => {
      const problem = why?.text ?? (body.trim() === '' ? 'an empty body' : read(body));
      if (why !== null || body.trim() === '') take.bad(body.slice(0, LONGEST_TEXT), problem as string);
      if (problem === null) answer(204);
      else answer(why?.status ?? 400, problem, why === null ? {} : { connection: 'close' });
    });
  });
  server.on('clientError', (error: NodeJS.ErrnoException, socket) => {
    if (error.code !== 'ECONNRESET' && !begun.has(socket))
      take.bad('', `a request that is no HTTP (${error.code ?? error.message})`);
    if (socket.writable) socket.end('HTTP/1.1 400 Bad Request\r\nConnection: close\r\n\r\n');
    else socket.destroy();
  });
  const number = await listenForReports(server, port);
  return {
    address: `http://${LISTENING_HOST}:${number}/`,
    hostText: () => {},
    hostEnded: () => {},
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      server.closeIdleConnections();
      const timer = setTimeout(() => server.closeAllConnections(), LAST_WORDS_MS);
      await closed;
      clearTimeout(timer);
    },
    hint: () => hint,
  };
}

interface Refusal {
  readonly status: number;
  readonly text: string;
}

/** Reads a request's body; it is handed on once, whole or with why not. */
function takeBody(
  request: IncomingMessage,
  response: ServerResponse,
  done: (body: string, why: Refusal | null) => void,
): void {
  const encoding = request.headers['content-encoding'] ?? 'identity';
  const parts: Buffer[] = [];
  let length = 0;
  let isOver = false;
  const finish = (body: string, why: Refusal | null) => {
    if (isOver) return;
    isOver = true;
    done(body, why);
  };
  const isTooLarge = () => finish('', { status: 413, text: `a body of more than ${LARGEST_BODY} bytes` });
  if (encoding !== 'identity') finish('', { status: 415, text: `a body in the encoding ${encoding.slice(0, 40)}` });
  else if (Number(request.headers['content-length'] ?? 0) > LARGEST_BODY) isTooLarge();
  request.on('data', (bytes: Buffer) => {
    length += bytes.length;
    if (length > LARGEST_BODY) isTooLarge();
    else if (!isOver) parts.push(bytes);
    // Who goes on sending all the same is hung up.
    if (length > 16 * LARGEST_BODY) request.destroy();
  });
  request.on('end', () => finish(new TextDecoder().decode(Buffer.concat(parts)), null));
  request.on('error', () => {});
  response.on('close', () => {
    if (!request.complete) finish('', { status: 400, text: 'a request that was broken off' });
  });
}

/** A JSON text over several lines, or a list, as JSON Lines; any other text as it is. */
function jsonLines(text: string): string {
  try {
    const value: unknown = JSON.parse(text.replace(/^\ufeff/, ''));
    return (Array.isArray(value) ? (value as unknown[]) : [value]).map((each) => JSON.stringify(each)).join('\n');
  } catch {
    return text;
  }
}
