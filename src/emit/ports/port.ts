/** What happened on the host's side of a port. */
export type HostEvent =
  | { readonly event: 'open' }
  | { readonly event: 'close' }
  | { readonly event: 'speed'; readonly baud: number };

/** What a port tells its owner. */
export interface PortListener {
  /** Bytes that the host wrote. */
  hostBytes?(bytes: Uint8Array): void;
  hostEvent?(event: HostEvent): void;
  /** The port can no longer be used (device gone, disk full): a LodestubError. */
  failed?(error: Error): void;
}

/** One end of a line: the module's side. Every port passes the same tests (`tests/contract/`). */
export interface ModulePort {
  /** What a host is told to open: a device path, `tcp:127.0.0.1:2947`-like address, file path, `stdout`, `memory`. */
  readonly name: string;
  /**
   * Sends bytes towards the host at once; never waits and never throws for a host that does not read.
   * @returns how many of the bytes were lost (no host, or its buffer full)
   */
  write(bytes: Uint8Array): number;
  /** Waits until what was written has left for the host or is lost, then frees the port; may be called twice. */
  close(): Promise<void>;
}
