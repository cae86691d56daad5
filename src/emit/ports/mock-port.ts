import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';

/** What a host may leave unread before further bytes are lost, bytes: as for the other ports. */
const QUEUE_LIMIT_BYTES = 64 * 1024;

/** What is used of an end that a host has opened. The package's own typings cannot be found from an ES module. */
interface MockPortBinding {
  readonly isOpen: boolean;
  readonly openOptions: { readonly baudRate: number };
  readonly port?: { readonly data: Buffer };
  emitData(data: Buffer): void;
  write(buffer: Buffer): Promise<void>;
  update(options: { baudRate: number }): Promise<void>;
  close(): Promise<void>;
}

interface MockBinding {
  createPort(path: string, options: { record: boolean; echo: boolean }): void;
  open(options: { path: string; baudRate: number }): Promise<MockPortBinding>;
}

/** The mock ports that are open, by path, and how the shared binding looked before the first. */
const openPorts = new Map<string, MockPort>();
let originalOpen: MockBinding['open'] | undefined;

/** The module's end of a port that `SerialPortMock` opens in the same process. */
class MockPort implements ModulePort {
  private hosts: MockPortBinding[] = [];
  private isOpen = true;

  constructor(
    readonly name: string,
    private readonly binding: MockBinding,
    private readonly listener: PortListener,
  ) {}

  write(bytes: Uint8Array): number {
    const host = this.isOpen ? this.hosts.find((candidate) => candidate.isOpen) : undefined;
    if (host?.port === undefined) return bytes.length;
    const taken = Math.max(0, Math.min(bytes.length, QUEUE_LIMIT_BYTES - host.port.data.length));
    if (taken > 0) host.emitData(Buffer.from(bytes.subarray(0, taken)));
    return bytes.length - taken;
  }

  /** Watches one opened end: what the host writes, its speed, its close. */
  hostOpened(host: MockPortBinding): void {
    const [write, update, close] = [host.write.bind(host), host.update.bind(host), host.close.bind(host)];
    host.write = async (buffer) => {
      await write(buffer);
      if (this.isOpen) this.listener.hostBytes?.(Uint8Array.from(buffer));
    };
    host.update = async (options) => {
      await update(options);
      this.tell({ event: 'speed', baud: options.baudRate });
    };
    host.close = async () => {
      await close();
      this.hosts = this.hosts.filter((other) => other !== host);
      if (this.hosts.length === 0) this.tell({ event: 'close' });
    };
    this.hosts.push(host);
    if (this.hosts.length === 1) this.tell({ event: 'open' });
    this.tell({ event: 'speed', baud: host.openOptions.baudRate });
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    this.isOpen = false;
    openPorts.delete(this.name);
    if (openPorts.size === 0 && originalOpen !== undefined) {
      this.binding.open = originalOpen;
      originalOpen = undefined;
    }
  }

  private tell(event: Parameters<NonNullable<PortListener['hostEvent']>>[0]): void {
    if (this.isOpen) this.listener.hostEvent?.(event);
  }
}

/**
 * Creates a port that a host in the same process opens with serialport's `SerialPortMock`. The host's code needs no
 * change: the shared mock binding's `open` is wrapped while any mock port is open, and put back with the last one.
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
  binding.createPort(path, { record: false, echo: false });
  const port = new MockPort(path, binding, listener);
  openPorts.set(path, port);
  if (originalOpen === undefined) {
    const open = binding.open;
    originalOpen = open;
    binding.open = async (options) => {
      const host = await open.call(binding, options);
      openPorts.get(options.path)?.hostOpened(host);
      return host;
    };
  }
  return port;
}
