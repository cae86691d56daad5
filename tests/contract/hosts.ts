import { closeSync, constants, openSync, readSync, writeSync } from 'node:fs';
import { connect } from 'node:net';
import { SerialPortMock } from 'serialport';

/** One host of a port, in this process, that notices when the port hangs up. */
export interface Host {
  /** All that it has received, a character a byte. */
  received(): string;
  /** Why it could not open the port; null if it could, or is still about to. */
  readonly refusal: () => string | null;
  /** Whether the port has hung up on it. */
  readonly isHungUp: () => boolean;
  send(bytes: string): void;
  leave(): Promise<void>;
}

/** A host that reads a terminal without waiting, as often as it is asked what it has received. */
function terminalHost(name: string): Host {
  let fd = -1;
  let refusal: string | null = null;
  try {
    fd = openSync(name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  } catch (error) {
    refusal = String((error as NodeJS.ErrnoException).code);
  }
  let got = '';
  let isHungUp = false;
  const into = Buffer.alloc(4096);
  const read = () => {
    try {
      while (fd >= 0 && !isHungUp) {
        const count = readSync(fd, into);
        // Either is the end on a terminal that has hung up.
        isHungUp = count === 0;
        got += into.toString('latin1', 0, count);
      }
    } catch (error) {
      isHungUp = (error as NodeJS.ErrnoException).code === 'EIO';
    }
  };
  return {
    received() {
      read();
      return got;
    },
    refusal: () => refusal,
    isHungUp() {
      read();
      return isHungUp;
    },
    send: (bytes) => void writeSync(fd, bytes, null, 'latin1'),
    async leave() {
      if (fd >= 0) closeSync(fd);
      fd = -1;
    },
  };
}

function networkHost(name: string): Host {
  let got = '';
  let refusal: string | null = null;
  let isHungUp = false;
  let isIn = false;
  const client = connect(Number(name.split(':').at(-1)), '127.0.0.1', () => {
    isIn = true;
  });
  client.on('data', (bytes) => {
    got += bytes.toString('latin1');
  });
  client.on('error', (error: NodeJS.ErrnoException) => {
    // A reset before anything came: it was let in to be thrown out.
    if (!isIn || got === '') refusal = String(error.code);
  });
  client.on('close', () => {
    isHungUp = true;
  });
  return {
    received: () => got,
    refusal: () => refusal,
    isHungUp: () => isHungUp,
    send: (bytes) => void client.write(bytes, 'latin1'),
    async leave() {
      client.destroy();
    },
  };
}

function mockHost(name: string): Host {
  let got = '';
  let refusal: string | null = null;
  let isHungUp = false;
  const port = new SerialPortMock({ path: name, baudRate: 9600, autoOpen: false });
  port.on('data', (bytes: Buffer) => {
    got += bytes.toString('latin1');
  });
  port.on('close', (error: Error | null) => {
    isHungUp = error !== null;
  });
  port.open((error) => {
    refusal = error?.message ?? null;
  });
  return {
    received: () => got,
    refusal: () => refusal,
    isHungUp: () => isHungUp,
    send: (bytes) => void port.write(Buffer.from(bytes, 'latin1')),
    leave: () => new Promise((resolve) => (port.isOpen ? port.close(() => resolve()) : resolve())),
  };
}

/** Opens a port as a host does. @param name what the port says of itself */
export function openHost(kind: string, name: string): Host {
  if (kind === 'pty') return terminalHost(name);
  return kind === 'tcp' ? networkHost(name) : mockHost(name);
}
