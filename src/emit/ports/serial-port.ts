import type { SerialPort } from 'serialport';
import { BITS_PER_BYTE } from '../../base/constants.js';
import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';
import { refusalOf } from './refusal.js';
import { waitUntilSent } from './wait-until-sent.js';

/** What may wait for the device, bytes; beyond it bytes are lost. */
const QUEUE_LIMIT_BYTES = 64 * 1024;
/** Bytes handed to the device in one go, so that progress shows. */
const SLICE_BYTES = 1024;

class SerialDevicePort implements ModulePort {
  /** The far end's device is the host's own. */
  readonly cannot = ['hang-up', 'other-name', 'refuse', 'keep'] as const;
  /** Bytes to send, and speeds in baud to go on with. */
  private queue: (Buffer | number)[] = [];
  private queuedBytes = 0;
  private isSending = false;
  private isOpen = true;
  private isAway = false;

  constructor(
    readonly name: string,
    private readonly device: SerialPort,
    private baud: number,
    private readonly listener: PortListener,
  ) {
    device.on('data', (bytes: Buffer) => {
      if (this.isOpen && !this.isAway) listener.hostBytes?.(bytes);
    });
    device.on('error', (error) => this.fail(error));
    device.on('close', (error: Error | null) => this.fail(error ?? new Error('the device was closed')));
  }

  write(bytes: Uint8Array): number {
    const taken = this.isOpen && !this.isAway ? Math.min(bytes.length, QUEUE_LIMIT_BYTES - this.queuedBytes) : 0;
    for (let from = 0; from < taken; from += SLICE_BYTES) {
      this.queue.push(Buffer.from(bytes.subarray(from, Math.min(taken, from + SLICE_BYTES))));
    }
    this.queuedBytes += taken;
    if (!this.isSending) this.sendNext();
    return bytes.length - taken;
  }

  setSpeed(baud: number): void {
    if (!this.isOpen) return;
    this.queue.push(baud);
    if (!this.isSending) this.sendNext();
  }

  vanish(): void {
    if (!this.isOpen || this.isAway) return;
    this.isAway = true;
    this.listener.portEvent?.({ event: 'gone' });
  }

  comeBack(): void {
    if (!this.isOpen || !this.isAway) return;
    this.isAway = false;
    this.listener.portEvent?.({ event: 'back', name: this.name });
  }

  async close(): Promise<void> {
    if (!this.isOpen) return;
    // Two slices' time: a shorter stall may just be the line's own speed.
    const stallMs = 500 + (2 * SLICE_BYTES * BITS_PER_BYTE * 1000) / this.baud;
    await waitUntilSent(() => this.queuedBytes, stallMs);
    this.isOpen = false;
    this.drop();
    // The driver itself sends what it still holds before it lets the device go.
    if (this.device.isOpen) await new Promise<void>((resolve) => this.device.close(() => resolve()));
  }

  private sendNext(): void {
    const slice = this.queue.shift();
    this.isSending = slice !== undefined;
    if (slice === undefined) return;
    if (typeof slice === 'number') {
      this.changeSpeed(slice);
      return;
    }
    this.device.write(slice, (error) => {
      if (error) this.fail(error);
      if (!this.isOpen) return;
      this.queuedBytes -= slice.length;
      this.sendNext();
    });
  }

  /** What was sent before goes out at the speed that it was sent at. */
  private changeSpeed(baud: number): void {
    this.device.drain((drainError) => {
      if (drainError) return this.fail(drainError);
      if (!this.isOpen) return;
      this.device.update({ baudRate: baud }, (error) => {
        if (error) return this.failWith(speedRefused(this.name, baud, error));
        this.baud = baud;
        if (this.isOpen) this.sendNext();
      });
    });
  }

  private drop(): void {
    this.queue = [];
    this.queuedBytes = 0;
  }

  private fail(cause: Error): void {
    this.failWith(
      new LodestubError({
        code: 'port.gone',
        path: this.name,
        summary: `the device has gone (${cause.message})`,
        hint: 'Plug it in again, then start again.',
        cause,
      }),
    );
  }

  private failWith(error: LodestubError): void {
    if (!this.isOpen) return;
    this.isOpen = false;
    this.drop();
    if (this.device.isOpen) this.device.close(() => {});
    this.listener.failed?.(error);
  }
}

function speedRefused(path: string, baud: number, cause: Error): LodestubError {
  return new LodestubError({
    code: 'port.failed',
    path,
    summary: `the device cannot be set to ${baud} baud (${cause.message})`,
    hint: 'Choose a speed that it has.',
    cause,
  });
}

/**
 * Opens a serial device at 8 data bits, no parity, one stop bit. Whether a host listens at its far end cannot be
 * known: no host events. It follows the module's speed. While it is away nothing is sent: the far end, whose own
 * device stays, sees a silent line either way.
 * @param path `/dev/ttyUSB0`, `COM3`
 * @param baud bits a second, as the device supports
 * @throws LodestubError `port.missing`, `port.busy`, `port.denied`, `port.failed`
 */
export async function openSerialDevice(path: string, baud: number, listener: PortListener): Promise<ModulePort> {
  const { SerialPort } = await import('serialport');
  const device = new SerialPort({ path, baudRate: baud, autoOpen: false });
  const error = await new Promise<Error | null>((resolve) => device.open(resolve));
  if (error !== null && error !== undefined) throw await openError(path, error);
  return new SerialDevicePort(path, device, baud, listener);
}

async function openError(path: string, cause: Error): Promise<LodestubError> {
  const { why, summary } = refusalOf(cause);
  const code = { missing: 'port.missing', denied: 'port.denied', busy: 'port.busy', failed: 'port.failed' }[why];
  return new LodestubError({ code, path, summary, hint: await listPorts(), cause });
}

/** One sentence that names the serial ports of this machine. */
async function listPorts(): Promise<string> {
  try {
    const { SerialPort } = await import('serialport');
    const paths = (await SerialPort.list()).map((port) => port.path);
    return paths.length === 0 ? 'This machine lists no serial ports.' : `Serial ports here: ${paths.join(', ')}.`;
  } catch {
    return 'The serial ports of this machine could not be listed.';
  }
}
