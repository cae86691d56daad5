import type { ModulePort, PortListener } from './port.js';

/** What a memory port holds unread before further bytes are lost: 4 h at 115200 baud would be ten times that. */
const DEFAULT_CAPACITY_BYTES = 16 * 1024 * 1024;

/** A port whose host is the calling program: for tests and for the library. */
export interface MemoryPort extends ModulePort {
  /** Takes all bytes that have come since the last call. */
  read(): Buffer;
  /** Sends bytes from the host to the module; after close they are ignored. */
  send(bytes: Uint8Array): void;
}

/**
 * Opens a port in memory. Its host is there from the start to the end, so no host events are reported. While it is
 * away, bytes are lost either way; what was written before can still be read.
 * @param listener is called from within `send`
 * @param options.capacityBytes what may lie unread, bytes, above 0; what comes on top is lost. Default 16 MiB
 */
export async function openMemoryPort(
  listener: PortListener,
  options: { readonly capacityBytes?: number } = {},
): Promise<MemoryPort> {
  const capacityBytes = options.capacityBytes ?? DEFAULT_CAPACITY_BYTES;
  let chunks: Buffer[] = [];
  let heldBytes = 0;
  let isOpen = true;
  let isAway = false;
  return {
    name: 'memory',
    cannot: ['hang-up', 'other-name', 'refuse', 'keep'],
    write(bytes) {
      const taken = isOpen && !isAway ? Math.min(bytes.length, capacityBytes - heldBytes) : 0;
      // A copy: the caller may use its array again.
      if (taken > 0) chunks.push(Buffer.from(bytes.subarray(0, taken)));
      heldBytes += taken;
      return bytes.length - taken;
    },
    read() {
      const all = Buffer.concat(chunks);
      chunks = [];
      heldBytes = 0;
      return all;
    },
    send(bytes) {
      if (isOpen && !isAway) listener.hostBytes?.(Uint8Array.from(bytes));
    },
    vanish() {
      if (!isOpen || isAway) return;
      isAway = true;
      listener.portEvent?.({ event: 'gone' });
    },
    comeBack() {
      if (!isOpen || !isAway) return;
      isAway = false;
      listener.portEvent?.({ event: 'back', name: 'memory' });
    },
    async close() {
      isOpen = false;
    },
  };
}
