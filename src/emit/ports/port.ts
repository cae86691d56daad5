/** What happened on the host's side of a port. */
export type HostEvent =
  | { readonly event: 'open' }
  | { readonly event: 'close' }
  | { readonly event: 'speed'; readonly baud: number };

/** What happened to the port itself: it went, came back under a name, refuses hosts or does so no longer. */
export type PortEvent =
  | { readonly event: 'gone' }
  | { readonly event: 'back'; readonly name: string }
  | { readonly event: 'refusing' }
  | { readonly event: 'accepting' };

/** What a port tells its owner. */
export interface PortListener {
  /** Bytes that the host wrote. */
  hostBytes?(bytes: Uint8Array): void;
  hostEvent?(event: HostEvent): void;
  portEvent?(event: PortEvent): void;
  /** The port can no longer be used (device gone, disk full): a LodestubError. */
  failed?(error: Error): void;
}

/** One end of a line: the module's side. Every port passes the same tests (`tests/contract/`). */
export interface ModulePort {
  /** What a host is told to open, which may change when it comes back: a device path, `tcp:127.0.0.1:2947`-like address, file path, `stdout`, `memory`. */
  readonly name: string;
  /**
   * Sends bytes towards the host at once; never waits and never throws for a host that does not read.
   * @returns how many of the bytes were lost (no host, or its buffer full)
   */
  write(bytes: Uint8Array): number;
  /** The module's UART runs at another speed, baud. */
  setSpeed?(baud: number): void;
  /** The port goes away, `gone` is reported: hosts see a hang-up, or (false) just nothing more. */
  vanish?(hangUp: boolean): void;
  /** The port comes back under its old name or another one; `back` is reported, soon. */
  comeBack?(as: 'same' | 'other'): void;
  /** Whoever opens the port is refused from here on, or no longer. */
  refuse?(isRefusing: boolean): void;
  /** So many of the newest bytes wait for a host while none is there, and are the first that it gets. */
  keep?(bytes: number): void;
  /** Waits until what was written has left for the host or is lost, then frees the port; may be called twice. */
  close(): Promise<void>;
}
