import { createSocket, type Socket } from 'node:dgram';
import { lookup } from 'node:dns/promises';
import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';
import { waitUntilSent } from './wait-until-sent.js';

/** The most a datagram carries, bytes: an Ethernet frame's 1500 less 20 of IPv4 (RFC 791) and 8 of UDP (RFC 768). */
const DATAGRAM_BYTES = 1472;
/** What may wait to be sent, bytes; beyond it bytes are lost. */
const QUEUE_LIMIT_BYTES = 64 * 1024;
const STALL_MS = 500;
const LINE_FEED = 0x0a;

/** Where to send. */
export interface UdpPortOptions {
  /** Name or address; default 127.0.0.1. */
  readonly host?: string;
  /** 1 to 65535. */
  readonly port: number;
}

class UdpPort implements ModulePort {
  /** It sends to the host's own address, and nothing is opened there. */
  readonly cannot = ['hang-up', 'other-name', 'refuse', 'keep'] as const;
  /** The beginning of a line whose end has not come yet. */
  private partial: Buffer = Buffer.alloc(0);
  private sendingBytes = 0;
  private isOpen = true;
  private isAway = false;

  constructor(
    readonly name: string,
    private readonly socket: Socket,
    private readonly listener: PortListener,
  ) {
    socket.on('message', (bytes) => {
      if (this.isOpen && !this.isAway) listener.hostBytes?.(bytes);
    });
    // Nobody listens there (ECONNREFUSED), or the network is away: the bytes are lost, and later ones may arrive.
    socket.on('error', () => {});
  }

  /** @returns the bytes that found no room; a datagram that nobody receives is not noticed */
  write(bytes: Uint8Array): number {
    if (!this.isOpen || this.isAway) return bytes.length;
    const all = Buffer.concat([this.partial, bytes]);
    let from = 0;
    let lost = 0;
    while (from < all.length) {
      const end = datagramEnd(all, from);
      if (end < 0) break;
      lost += this.send(all.subarray(from, end));
      from = end;
    }
    this.partial = Buffer.from(all.subarray(from));
    return Math.min(lost, bytes.length);
  }

  vanish(): void {
    if (!this.isOpen || this.isAway) return;
    this.isAway = true;
    this.partial = Buffer.alloc(0);
    this.listener.portEvent?.({ event: 'gone' });
  }

  comeBack(): void {
    if (!this.isOpen || !this.isAway) return;
    this.isAway = false;
    this.listener.portEvent?.({ event: 'back', name: this.name });
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    if (this.partial.length > 0) this.send(this.partial);
    this.partial = Buffer.alloc(0);
    this.isOpen = false;
    await waitUntilSent(() => this.sendingBytes, STALL_MS);
    await new Promise<void>((resolve) => this.socket.close(() => resolve()));
  }

  private send(datagram: Buffer): number {
    if (this.sendingBytes + datagram.length > QUEUE_LIMIT_BYTES) return datagram.length;
    this.sendingBytes += datagram.length;
    this.socket.send(datagram, () => {
      this.sendingBytes -= datagram.length;
    });
    return 0;
  }
}

/**
 * Where the datagram that starts at `from` ends: after the last whole line that fits; a line longer than a datagram
 * is cut.
 * @returns -1 while the line is not complete and could still fit
 */
function datagramEnd(bytes: Buffer, from: number): number {
  const window = bytes.subarray(from, from + DATAGRAM_BYTES);
  const lastLineFeed = window.lastIndexOf(LINE_FEED);
  if (lastLineFeed >= 0) return from + lastLineFeed + 1;
  return window.length === DATAGRAM_BYTES ? from + DATAGRAM_BYTES : -1;
}

/**
 * Sends to a UDP address: each datagram holds whole lines, as many as were complete and fit 1472 bytes; a rest
 * without line end goes with close. What comes back from that address is reported as host bytes; a host's coming and
 * going is not known. While it is away nothing is sent, and the beginning of a line that had not gone is lost; its
 * name is the host's address, and never another one.
 * @throws LodestubError `port.address`
 */
export async function openUdpPort(options: UdpPortOptions, listener: PortListener): Promise<ModulePort> {
  const host = options.host ?? '127.0.0.1';
  const name = `udp:${host.includes(':') ? `[${host}]` : host}:${options.port}`;
  let socket: Socket | undefined;
  try {
    const { address, family } = await lookup(host);
    const made = createSocket({ type: family === 6 ? 'udp6' : 'udp4' });
    socket = made;
    await new Promise<void>((resolve, reject) => {
      made.once('error', reject);
      made.connect(options.port, address, () => resolve());
    });
    made.removeAllListeners('error');
    return new UdpPort(name, made, listener);
  } catch (error) {
    socket?.close();
    const cause = error as NodeJS.ErrnoException;
    throw new LodestubError({
      code: 'port.address',
      path: name,
      summary: `cannot send there (${cause.code ?? cause.message})`,
      hint: 'Give an address such as 127.0.0.1 and a port of 1 to 65535.',
      cause,
    });
  }
}
