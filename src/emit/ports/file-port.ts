import { LineFile } from './line-file.js';
import type { ModulePort, PortListener } from './port.js';

/** The banner sentence at the start of every stream, by which an earlier output is known. */
const BANNER = /^\$[A-Z]{2}TXT,\d\d,\d\d,\d\d,[^\r\n]*SIMULATED/m;

/** A port that writes to a file. Unlike all others it loses nothing: where a byte cannot be kept, `write` throws. */
export interface FilePort extends ModulePort {
  /** As `write`, for text of characters 0 to 255, a byte each. */
  writeLatin1(text: string): void;
  /**
   * Hands everything written so far to the system.
   * @throws LodestubError `out.full`, `out.closed`, `out.stalled`, `out.failed`
   */
  flush(): void;
}

/**
 * Opens a file as a port. There is no host: nothing is ever reported to the listener, and errors are thrown from
 * `write`, `flush` and `close`, because a stream that is kept is worth nothing with a hole in it. For the same reason
 * it never goes away: what the module transmits is the same whatever happens to a port.
 * @param path a file, a device such as /dev/null, or a FIFO with a reader
 * @param options.force replaces an existing file even if it is not an earlier output
 * @throws LodestubError `out.exists`, `out.directory`, `out.missing-folder`, `out.denied`, `out.no-reader`,
 *   `out.busy`, `out.failed`
 */
export async function openFilePort(
  path: string,
  _listener: PortListener,
  options: { readonly force?: boolean } = {},
): Promise<FilePort> {
  const file = LineFile.open(path, {
    force: options.force === true,
    isOwn: (head) => BANNER.test(head),
  });
  let isOpen = true;
  return {
    name: path,
    cannot: ['go', 'hang-up', 'other-name', 'refuse', 'keep'],
    write(bytes) {
      if (!isOpen) return bytes.length;
      file.append(bytes);
      return 0;
    },
    writeLatin1(text) {
      if (isOpen) file.appendLatin1(text);
    },
    flush() {
      if (isOpen) file.flush();
    },
    async close() {
      isOpen = false;
      file.close();
    },
  };
}
