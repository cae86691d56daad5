import { LodestubError } from '../../base/error.js';
import { Backlog } from './backlog.js';
import type { ModulePort, PortListener } from './port.js';

/** What a host may leave unread before further bytes are lost, bytes: as for the other ports. */
const QUEUE_LIMIT_BYTES = 64 * 1024;

/** What is used of an end that a host has opened. The package's own typings cannot be found from an ES module. */
interface MockPortBinding {
  readonly isOpen: boolean;
  readonly openOptions: { readonly baudRate: number };
  readonly port?: { readonly data: Buffer };
  /** Takes the data, or an error, that a read waits for; null: none waits. */
  pendingRead: ((error: Error | null) => void) | null;
  emitData(data: Buffer): void;
  read(buffer: Buffer, offset: number, length: number): Promise<unknown>;
  write(buffer: Buffer): Promise<void>;
  update(options: { baudRate: number }): Promise<void>;
  close(): Promise<void>;
}

interface MockBinding {
  createPort(path: string, options: { record: boolean; echo: boolean }): void;
  open(options: { path: string; baudRate: number }): Promise<MockPortBinding>;
}

/** The mock ports that are open, by every path that they have had, and the shared binding as it was before them. */
const openPorts = new Map<string, MockPort>();
let originalOpen: MockBinding['open'] | undefined;

/** The module's end of a port that `SerialPortMock` opens in the same process. */
class MockPort implements ModulePort {
  private hosts: MockPortBinding[] = [];
  /** Hosts that had the port open when it went: what they do is of no consequence. */
  private silent: MockPortBinding[] = [];
  private readonly backlog = new Backlog();
  private path: string;
  private count = 1;
  private isOpen = true;
  private isAway = false;
  private isRefusing = false;

  constructor(
    private readonly basePath: string,
    private readonly binding: MockBinding,
    private readonly listener: PortListener,
  ) {
    this.path = basePath;
    this.create();
  }

  get name(): string {
    return this.path;
  }

  /** Why nothing can be opened under one of its paths at present, as the binding of a real port says it. */
  refusalOf(path: string): string | null {
    if (this.isAway || path !== this.path) return `Error: No such file or directory, cannot open ${path}`;
    return this.isRefusing ? `Error: Resource temporarily unavailable Cannot lock port` : null;
  }

  write(bytes: Uint8Array): number {
    if (!this.isOpen || this.isAway) return bytes.length;
    const host = this.hosts.find((candidate) => candidate.isOpen);
    if (host?.port === undefined) return this.backlog.push(bytes);
    const taken = Math.max(0, Math.min(bytes.length, QUEUE_LIMIT_BYTES - host.port.data.length));
    if (taken > 0) host.emitData(Buffer.from(bytes.subarray(0, taken)));
    return bytes.length - taken;
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
    if (!this.isOpen) return;
    if (this.isAway) {
      if (hangUp) for (const host of this.silent) disconnect(host);
      return;
    }
    this.isAway = true;
    this.backlog.take();
    this.silent = this.hosts;
    this.hosts = [];
    if (hangUp) for (const host of this.silent) disconnect(host);
    if (this.silent.length > 0) this.tell({ event: 'close' });
    this.listener.portEvent?.({ event: 'gone' });
  }

  comeBack(as: 'same' | 'other'): void {
    if (!this.isOpen || !this.isAway) return;
    if (as === 'other') {
      do {
        this.count++;
        this.path = `${this.basePath}-${this.count}`;
      } while (openPorts.has(this.path));
    }
    this.create();
    this.silent = [];
    this.isAway = false;
    this.listener.portEvent?.({ event: 'back', name: this.path });
  }

  /** Watches one opened end: what the host writes, its speed, its close. */
  hostOpened(host: MockPortBinding): void {
    const [write, update, close] = [host.write.bind(host), host.update.bind(host), host.close.bind(host)];
    const isHere = () => this.isOpen && this.hosts.includes(host);
    host.write = async (buffer) => {
      await write(buffer);
      if (isHere()) this.listener.hostBytes?.(Uint8Array.from(buffer));
    };
    host.update = async (options) => {
      await update(options);
      if (isHere()) this.tell({ event: 'speed', baud: options.baudRate });
    };
    host.close = async () => {
      await close();
      if (!isHere()) return;
      this.hosts = this.hosts.filter((other) => other !== host);
      if (this.hosts.length === 0) this.tell({ event: 'close' });
    };
    this.hosts.push(host);
    if (this.hosts.length === 1) this.tell({ event: 'open' });
    this.tell({ event: 'speed', baud: host.openOptions.baudRate });
    if (!this.backlog.isEmpty && isHere()) host.emitData(this.backlog.take());
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    this.isOpen = false;
    for (const [path, port] of openPorts) if (port === this) openPorts.delete(path);
    if (openPorts.size === 0 && originalOpen !== undefined) {
      this.binding.open = originalOpen;
      originalOpen = undefined;
    }
  }

  /** A new end at its path: hosts of the old one, if any, stay at the old one. */
  private create(): void {
    this.binding.createPort(this.path, { record: false, echo: false });
    openPorts.set(this.path, this);
  }

  private tell(event: Parameters<NonNullable<PortListener['hostEvent']>>[0]): void {
    if (this.isOpen) this.listener.hostEvent?.(event);
  }
}

/** A host's reading and writing fail from here on, as where a device is unplugged: its port closes with an error. */
function disconnect(host: MockPortBinding): void {
  const gone = () => new Error('Reading from the port failed: the device has gone');
  host.read = () => Promise.reject(gone());
  host.write = () => Promise.reject(gone());
  const { pendingRead } = host;
  host.pendingRead = null;
  pendingRead?.(gone());
}

/**
 * Creates a port that a host in the same process opens with serialport's `SerialPortMock`. The host's code needs no
 * change: the shared mock binding's `open` is wrapped while any mock port is open, and put back with the last one.
 *
 * It can go away: with a hang-up the host's port closes with a disconnection error, without one it stays open and gets
 * nothing more. It comes back under its path, or PATH-2, PATH-3, …. A refused opening fails as where another program
 * has locked the port.
 * @param path the path that the host names, any text
 * @throws LodestubError `port.busy` when a mock port of that path is open already
 */
export async function openMockPort(path: string, listener: PortListener): Promise<ModulePort> {
  if (openPorts.has(path)) {
    throw new LodestubError({
      code: 'port.busy',
      path: `mock:${path}`,
      summary: 'a mock port of this path is open already',
      hint: 'Close it first, or use another path.',
    });
  }
  const { SerialPortMock } = await import('serialport');
  // The instance that SerialPortMock itself uses: another copy of the package would have other ports.
  const binding = SerialPortMock.binding as unknown as MockBinding;
  const port = new MockPort(path, binding, listener);
  if (originalOpen === undefined) {
    const open = binding.open;
    originalOpen = open;
    binding.open = async (options) => {
      const there = openPorts.get(options.path);
      const refusal = there?.refusalOf(options.path) ?? null;
      if (refusal !== null) throw new Error(refusal);
      const host = await open.call(binding, options);
      there?.hostOpened(host);
      return host;
    };
  }
  return port;
}
