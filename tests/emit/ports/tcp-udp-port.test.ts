import { createSocket } from 'node:dgram';
import { connect } from 'node:net';
import { expect, it } from 'vitest';
import { openTcpPort } from '../../../src/emit/ports/tcp-port.js';
import { openUdpPort } from '../../../src/emit/ports/udp-port.js';
import { sleep, until } from '../../contract/rigs.js';

/** A wait for the slow client would be for ever; this leaves room for a loaded machine, ms. */
const AT_ONCE_MS = 1000;

const line = (text: string) => Buffer.from(`${text}\r\n`);

async function join(name: string) {
  const client = connect(Number(name.split(':').at(-1)), '127.0.0.1');
  let got = '';
  client.on('data', (bytes) => {
    got += bytes.toString('latin1');
  });
  client.on('error', () => {});
  await new Promise<void>((resolve) => client.on('connect', () => resolve()));
  await sleep(20);
  return { client, got: () => got };
}

it('tcp: each client gets all from when it joined, and a slow one costs the others nothing', async () => {
  const events: string[] = [];
  const port = await openTcpPort({ port: 0 }, { hostEvent: ({ event }) => events.push(event) });
  expect(port.write(line('nobody'))).toBe(8);
  const first = await join(port.name);
  port.write(line('one'));
  const slow = await join(port.name);
  slow.client.pause();
  port.write(line('two'));
  let lost = 0;
  const kilobyte = line('x'.repeat(1022));
  for (let i = 0; i < 8192; i++) {
    lost += port.write(kilobyte);
    if (i % 16 === 0) await new Promise((resolve) => setImmediate(resolve));
  }
  expect(lost).toBeGreaterThan(0);
  await until(() => first.got().length === 10 + 8192 * 1024, 'all at the fast client');
  expect(first.got().startsWith('one\r\ntwo\r\nxxx')).toBe(true);
  slow.client.resetAndDestroy();
  first.client.destroy();
  await until(() => events.length === 2, 'both to leave');
  expect(events).toEqual(['open', 'close']);
  const later = await join(port.name);
  expect(port.write(line('again'))).toBe(0);
  await until(() => later.got() === 'again\r\n', 'the line');
  await port.close();
});

it('tcp: a client that reads nothing holds no other one up, nor the writer', async () => {
  const port = await openTcpPort({ port: 0 }, {});
  const slow = await join(port.name);
  slow.client.pause();
  const fast = await join(port.name);
  // Far more than the slow one's queues hold: what comes from here on is lost to it.
  for (let i = 0; i < 8; i++) port.write(Buffer.alloc(1024 * 1024, 65));
  let expected = 0;
  for (let quietMs = 0; quietMs < 200; quietMs += 20) {
    await sleep(20);
    if (fast.got().length !== expected) quietMs = 0;
    expected = fast.got().length;
  }
  const lateMs: number[] = [];
  for (let i = 0; i < 50; i++) {
    const startMs = performance.now();
    port.write(line(`$LINE,${i}`));
    const wroteMs = performance.now() - startMs;
    await until(() => fast.got().endsWith(`$LINE,${i}\r\n`), 'the line at the fast client');
    lateMs.push(performance.now() - startMs);
    expect(wroteMs).toBeLessThan(AT_ONCE_MS);
  }
  lateMs.sort((a, b) => a - b);
  expect(lateMs[25]).toBeLessThan(AT_ONCE_MS);
  expect(slow.got()).toBe('');
  slow.client.destroy();
  fast.client.destroy();
  await port.close();
});

it('tcp: a number that has been taken meanwhile is told as a failure, another one is not needed', async () => {
  const errors: Error[] = [];
  const port = await openTcpPort({ port: 0 }, { failed: (error) => errors.push(error) });
  const number = Number(port.name.split(':').at(-1));
  port.vanish!(true);
  const other = await openTcpPort({ port: number }, {});
  port.comeBack!('same');
  await until(() => errors.length === 1, 'the failure');
  expect(errors[0]!.message).toMatch(/^port\.busy: tcp:127\.0\.0\.1:/);
  await other.close();
  await port.close();
});

it('udp: datagrams hold whole lines, 1472 bytes at most; longer lines are cut, a rest goes with close', async () => {
  const socket = createSocket('udp4');
  const got: string[] = [];
  socket.on('message', (bytes) => got.push(bytes.toString('latin1')));
  await new Promise<void>((resolve) => socket.bind(0, '127.0.0.1', () => resolve()));
  const port = await openUdpPort({ port: socket.address().port }, {});
  port.write(Buffer.from('$A'));
  port.write(Buffer.from('B\r\n$C\r\n$D'));
  const long = 'L'.repeat(78);
  port.write(line(`\r\n${Array(20).fill(long).join('\r\n')}`));
  port.write(line('M'.repeat(2000)));
  port.write(Buffer.from('$REST'));
  await port.close();
  await until(() => got.length === 6, 'six datagrams');
  expect(got[0]).toBe('$AB\r\n$C\r\n');
  expect(got[1]).toBe(`$D\r\n${`${long}\r\n`.repeat(18)}`);
  expect(got[2]).toBe(`${long}\r\n`.repeat(2));
  expect(got.slice(3)).toEqual(['M'.repeat(1472), `${'M'.repeat(528)}\r\n`, '$REST']);
  expect(Math.max(...got.map((datagram) => datagram.length))).toBeLessThanOrEqual(1472);
  await new Promise<void>((resolve) => socket.close(() => resolve()));
});

it('udp: a port that nobody listens on is no error', async () => {
  const socket = createSocket('udp4');
  await new Promise<void>((resolve) => socket.bind(0, '127.0.0.1', () => resolve()));
  const { port: free } = socket.address();
  await new Promise<void>((resolve) => socket.close(() => resolve()));
  const errors: Error[] = [];
  const port = await openUdpPort({ port: free }, { failed: (error) => errors.push(error) });
  for (let i = 0; i < 5; i++) {
    port.write(line('x'));
    await sleep(5);
  }
  await port.close();
  expect(errors).toEqual([]);
});
