import { once } from 'node:events';
import { createServer, type Server, type Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { isPortName, openSource, type PortSource } from '../../src/inspect/port-source.js';

const opened: { close: () => unknown }[] = [];
afterEach(async () => {
  for (const each of opened.splice(0)) await each.close();
});

/** A server on a free port, and what connects to it. */
async function serve(): Promise<{ server: Server; name: string; client: Promise<Socket> }> {
  const server = createServer();
  opened.push(server);
  const client = once(server, 'connection').then(([socket]) => socket as Socket);
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  return { server, name: `tcp:127.0.0.1:${port}`, client };
}

async function open(name: string): Promise<PortSource> {
  const source = await openSource(name, 9600);
  opened.push(source);
  return source;
}

/** What a source hands on, until it has gone. */
function untilGone(source: PortSource): Promise<{ text: string; timesMs: number[]; why: string }> {
  return new Promise((resolve) => {
    let text = '';
    const timesMs: number[] = [];
    source.hear({
      onBytes: (bytes, atMs) => {
        text += Buffer.from(bytes).toString('latin1');
        timesMs.push(atMs);
      },
      onGone: (why) => resolve({ text, timesMs, why }),
    });
  });
}

describe('a TCP server as a port', () => {
  it('is heard, byte for byte, with times of arrival, until it closes', async () => {
    const beforeMs = Date.now();
    const { name, client } = await serve();
    const source = await open(name);
    expect(source).toMatchObject({ name, hasSpeed: false });
    const all = untilGone(source);
    const socket = await client;
    socket.write('$GPZDA,\xff\0', 'latin1');
    socket.end('*00\r\n');
    const { text, timesMs, why } = await all;
    expect(text).toBe('$GPZDA,\xff\0*00\r\n');
    expect(why).toBe('the server has closed the connection');
    expect(timesMs).toEqual([...timesMs].sort((a, b) => a - b));
    // Both clocks are this machine's; the one of arrivals is set once a process.
    expect(Math.abs((timesMs[0] as number) - beforeMs)).toBeLessThan(60_000);
  });

  it('that has gone before anybody listens says so then', async () => {
    const { name, client } = await serve();
    const source = await open(name);
    (await client).destroy();
    expect((await untilGone(source)).why).toMatch(/^the (server has closed|connection failed)/);
    expect((await untilGone(source)).why).toMatch(/^the (server has closed|connection failed)/);
  });

  it('says nothing more once it is closed', async () => {
    const { name, client } = await serve();
    const source = await open(name);
    let said = '';
    source.hear({ onBytes: () => (said += 'bytes'), onGone: () => (said += 'gone') });
    const socket = await client;
    const ended = once(socket, 'close');
    await source.close();
    socket.resume();
    await ended;
    expect(said).toBe('');
  });
});

describe('a port that cannot be opened', () => {
  it('is named as what it is', async () => {
    const { server, name } = await serve();
    await new Promise((resolve) => server.close(resolve));
    opened.splice(0);
    await expect(openSource(name, 9600)).rejects.toMatchObject({ code: 'inspect.port-missing', path: name });
    await expect(openSource('/dev/lodestub-none', 9600)).rejects.toMatchObject({ code: 'inspect.port-missing' });
    await expect(openSource('/dev/null', 9600)).rejects.toMatchObject({ code: 'inspect.port-failed' });
    await expect(openSource('tcp:127.0.0.1:x', 9600)).rejects.toMatchObject({ code: 'port.spec' });
    await expect(openSource('udp:127.0.0.1:2000', 9600)).rejects.toMatchObject({ code: 'inspect.port-failed' });
  });
});

describe('a name', () => {
  it.each([
    ['tcp:2000', true],
    ['COM3', true],
    ['/dev/ttyUSB77', true],
    ['/dev/null', true],
    ['./run.nmea', false],
    ['/var/log/run.nmea', false],
    ['COMMENT.txt', false],
  ])('%s is that of a port: %s', async (name, is) => {
    expect(await isPortName(name)).toBe(is);
  });
});
