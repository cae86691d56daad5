/** What happened on the host's side of a port. */
export type HostEvent =
  | { readonly event: 'open' }
  | { readonly event: 'close' }
  | { readonly event: 'speed'; readonly baud: number };

/**
 * What happened to the port itself: it went, came back under a name (and a link, where it has one), refuses hosts or
 * does so no longer.
 */
export type PortEvent =
  | { readonly event: 'gone' }
  | { readonly event: 'back'; readonly name: string; readonly link?: string }
  | { readonly event: 'refusing' }
  | { readonly event: 'accepting' };

/** What faults ask of a port, as it is said of one that cannot do it. */
export const PORT_DEEDS = {
  go: 'go away',
  'hang-up': 'hang up on its host',
  'other-name': 'come back under another name',
  refuse: 'refuse whoever opens it',
  keep: 'keep bytes until a host comes',
} as const;

export type PortDeed = keyof typeof PORT_DEEDS;

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
  /**
   * What a host is told to open, which may change when it comes back: a device path, an address such as
   * `tcp:127.0.0.1:2947`, a file's path, `stdout`, `memory`.
   */
  readonly name: string;
  /** What it cannot do at all; default: it can do all. What is asked for nevertheless is left undone. */
  readonly cannot?: readonly PortDeed[];
  /**
   * Sends bytes towards the host at once; never waits and never throws for a host that does not read.
   * @returns how many of the bytes were lost (no host, or its buffer full)
   */
  write(bytes: Uint8Array): number;
  /**
   * The module's UART runs at another speed, baud. A serial device follows. A pty follows as long as no host has set it
   * up itself.
   */
  setSpeed?(baud: number): void;
  /**
   * The port goes away: `close` is reported if a host was there, then `gone`. Bytes are lost until it comes back. Hosts
   * see a hang-up; or (false) nothing more at all, however long they wait, even after it has come back.
   *
   * While it is away, `vanish(true)` hangs up on hosts that wait. Ports that keep a stream (file, standard output) have
   * none of the methods from here on: a record with a hole in it is of no use, and what is at their end does not open
   * or close.
   */
  vanish?(hangUp: boolean): void;
  /**
   * The port comes back under its old name or another one; `back` is reported, soon, or `failed`. The name is `same`
   * only if the system gives it again: what is reported is true. Does nothing for a port that is not away.
   */
  comeBack?(as: 'same' | 'other'): void;
  /** Whoever opens the port is refused from here on, or no longer; a host that has it open is left alone. */
  refuse?(isRefusing: boolean): void;
  /**
   * So many of the newest bytes (0 to 1,000,000) wait for a host while none is there, and are the first that it gets.
   * What goes away loses them.
   */
  keep?(bytes: number): void;
  /** Waits until what was written has left for the host or is lost, then frees the port; may be called twice. */
  close(): Promise<void>;
}
