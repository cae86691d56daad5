import { createSocket } from 'node:dgram';
import { closeSync, constants, mkdtempSync, openSync, readFileSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { SerialPort, SerialPortMock } from 'serialport';
import { openFilePort } from '../../src/emit/ports/file-port.js';
import { loadLinuxCalls } from '../../src/emit/ports/linux-calls.js';
import { openMemoryPort } from '../../src/emit/ports/memory-port.js';
import { openMockPort } from '../../src/emit/ports/mock-port.js';
import type { HostEvent, ModulePort, PortEvent, PortListener } from '../../src/emit/ports/port.js';
import { openPtyPair } from '../../src/emit/ports/pty-pair.js';
import { openPtyPort } from '../../src/emit/ports/pty-port.js';
import { openSerialDevice } from '../../src/emit/ports/serial-port.js';
import { openStdoutPort } from '../../src/emit/ports/stdout-port.js';
import { openTcpPort } from '../../src/emit/ports/tcp-port.js';
import { openUdpPort } from '../../src/emit/ports/udp-port.js';

/** A port with a host at its other end. */
export interface Rig {
  readonly port: ModulePort;
  /** All that the host has received. */
  received(): Buffer;
  /** Sends from the host; undefined where the port has no way back. */
  readonly send: ((bytes: Buffer) => void) | undefined;
  /** All that the port has told of what the host sent. */
  hostBytes(): Buffer;
  readonly events: HostEvent[];
  readonly portEvents: PortEvent[];
  readonly errors: Error[];
  /** Ends host and port. */
  stop(): Promise<void>;
}

interface Host {
  port: ModulePort;
  received(): Buffer;
  send?: (bytes: Buffer) => void;
  stop(): Promise<void>;
}

type Maker = (listener: PortListener, reads: boolean) => Promise<Host>;

export const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Waits until something holds; fails after 5 s, far above any delay of a loaded machine that would still be right. */
export async function until(holds: () => boolean, what: string): Promise<void> {
  for (let i = 0; !holds(); i++) {
    if (i > 2500) throw new Error(`waited 5 s in vain: ${what}`);
    await sleep(2);
  }
}

/** A collector of chunks. */
function collector(): { add: (bytes: Uint8Array) => void; all: () => Buffer } {
  const chunks: Uint8Array[] = [];
  return { add: (bytes) => void chunks.push(Buffer.from(bytes)), all: () => Buffer.concat(chunks) };
}

async function serialHost(host: SerialPort | SerialPortMock, reads: boolean): Promise<Omit<Host, 'port'>> {
  const got = collector();
  if (reads) host.on('data', got.add);
  await new Promise<void>((resolve, reject) => host.open((error) => (error ? reject(error) : resolve())));
  return {
    received: got.all,
    send: (bytes) => void host.write(bytes),
    stop: async () => {
      if (host.isOpen) await new Promise<void>((resolve) => host.close(() => resolve()));
    },
  };
}

const makers: Record<string, Maker> = {
  async memory(listener) {
    const port = await openMemoryPort(listener, { capacityBytes: 1024 * 1024 });
    const got = collector();
    return {
      port,
      received() {
        got.add(port.read());
        return got.all();
      },
      send: (bytes) => port.send(bytes),
      stop: async () => {},
    };
  },
  async mock(listener, reads) {
    const port = await openMockPort('/dev/ROBOT', listener);
    return {
      port,
      ...(await serialHost(new SerialPortMock({ path: '/dev/ROBOT', baudRate: 9600, autoOpen: false }), reads)),
    };
  },
  async file(listener) {
    const folder = mkdtempSync(join(tmpdir(), 'ports-'));
    const path = join(folder, 'out.nmea');
    const port = await openFilePort(path, listener);
    return {
      port,
      received() {
        port.flush();
        return readFileSync(path);
      },
      stop: async () => rmSync(folder, { recursive: true }),
    };
  },
  async stdout(listener, reads) {
    const got = collector();
    const stream = new Writable({
      write(chunk, _encoding, done) {
        if (!reads) return;
        got.add(chunk);
        setImmediate(done);
      },
    });
    return { port: await openStdoutPort(listener, stream), received: got.all, stop: async () => void stream.destroy() };
  },
  async tcp(listener, reads) {
    let opened = false;
    const port = await openTcpPort(
      {
        port: 0,
      },
      {
        ...listener,
        hostEvent(event) {
          opened = true;
          listener.hostEvent?.(event);
        },
      },
    );
    const client = connect(Number(port.name.split(':').at(-1)), '127.0.0.1');
    const got = collector();
    client.on('error', () => {});
    if (reads) client.on('data', got.add);
    else client.pause();
    await until(() => opened, 'the client to join');
    return {
      port,
      received: got.all,
      send: (bytes) => void client.write(bytes),
      stop: async () => void client.destroy(),
    };
  },
  async udp(listener) {
    const socket = createSocket('udp4');
    const got = collector();
    let from: { port: number; address: string } | undefined;
    socket.on('message', (bytes, sender) => {
      from = sender;
      got.add(bytes);
    });
    await new Promise<void>((resolve) => socket.bind(0, '127.0.0.1', () => resolve()));
    const port = await openUdpPort({ port: socket.address().port }, listener);
    return {
      port,
      received: got.all,
      send(bytes) {
        // A receiver knows where to answer once it has got something.
        port.write(Buffer.from('\n'));
        void until(() => from !== undefined, 'a datagram').then(() => socket.send(bytes, from!.port, from!.address));
      },
      stop: () => new Promise<void>((resolve) => socket.close(() => resolve())),
    };
  },
  async pty(listener, reads) {
    let opened = false;
    const port = await openPtyPort(
      { baud: 9600 },
      {
        ...listener,
        hostEvent(event) {
          opened = event.event !== 'close';
          listener.hostEvent?.(event);
        },
      },
    );
    let host: Omit<Host, 'port'>;
    if (reads) {
      host = await serialHost(new SerialPort({ path: port.name, baudRate: 115200, autoOpen: false }), true);
    } else {
      const fd = openSync(port.name, constants.O_RDWR | constants.O_NOCTTY);
      host = { received: () => Buffer.alloc(0), stop: async () => closeSync(fd) };
    }
    await until(() => opened, 'the host to be seen');
    return { port, ...host };
  },
  async serial(listener, reads) {
    const calls = await loadLinuxCalls();
    let holderFd = -1;
    const pair = await openPtyPair(({ slavePath }) => {
      holderFd = openSync(slavePath, constants.O_RDWR | constants.O_NOCTTY);
      calls.setRaw(holderFd, 9600);
    });
    const got = collector();
    if (reads) pair.master.on('data', got.add);
    else pair.master.pause();
    return {
      port: await openSerialDevice(pair.slavePath, 115200, listener),
      received: got.all,
      send: (bytes) => void pair.master.write(bytes),
      stop: async () => {
        pair.master.destroy();
        closeSync(holderFd);
      },
    };
  },
};

export const kinds = Object.keys(makers);

/** Opens a port of a kind with a host; `reads: false` gives a host that takes nothing. */
export async function openRig(kind: string, reads = true): Promise<Rig> {
  const told = collector();
  const events: HostEvent[] = [];
  const portEvents: PortEvent[] = [];
  const errors: Error[] = [];
  const { port, received, send, stop } = await makers[kind]!(
    {
      hostBytes: told.add,
      hostEvent: (event) => events.push(event),
      portEvent: (event) => portEvents.push(event),
      failed: (error) => errors.push(error),
    },
    reads,
  );
  return {
    port,
    received,
    send,
    hostBytes: told.all,
    events,
    portEvents,
    errors,
    async stop() {
      await port.close();
      await stop();
    },
  };
}
