import type { StartKind } from '../sim/epoch.js';
import type { ReceiverSettings } from '../sim/receiver/settings.js';
import type { SentenceName, SentenceStyle } from './sentences/style.js';

/** How bytes come out of a bridge between UART and USB: bunched. */
export interface Bunching {
  /** What has waited so long is delivered, ms. */
  readonly holdMs: number;
  /** So many bytes are delivered at once. */
  readonly packetBytes: number;
}

/** A GNSS module as seen from its serial port. Read from `scenarios/modules/` or the user's own file. */
export interface ModuleProfile {
  readonly name: string;
  readonly title: string;
  readonly baud: number;
  /** Interval of navigation epochs, whole ms. */
  readonly epochMs: number;
  /** From the epoch to the first start bit, ms. */
  readonly latencyMs: number;
  /** Standard deviation of the latency, ms; the latency is never below half its nominal value. */
  readonly jitterMs: number;
  /** From power-up to the banner, ms; navigation epochs before it are not spoken of. */
  readonly bootMs: number;
  /** Lines of text sent at start-up as TXT. */
  readonly banner: readonly string[];
  readonly transmitBufferBytes: number;
  /** What happens to a sentence that does not fit the transmit buffer. */
  readonly overflow: 'drop' | 'cut';
  /** How a bridge to USB delivers the module's bytes; null: each as its stop bit ends. */
  readonly bridge: Bunching | null;
  /** Bytes that wait for a host which is not there, and are the first that it gets: the newest so many. */
  readonly backlogBytes: number;
  /** How the module starts anew each time a host opens the port, as where DTR resets it; null: it does not care. */
  readonly onOpen: StartKind | null;
  /** The module goes through these speeds until it understands a command at one; null: it has its own. */
  readonly speedSearch: { readonly speedsBaud: readonly number[]; readonly dwellMs: number } | null;
  /** What commands it understands: a dialect by name, or a file. */
  readonly dialectName: string;
  readonly style: SentenceStyle;
  /** In the order sent: a sentence and at every how many epochs it comes. */
  readonly sentences: ReadonlyArray<{ readonly name: SentenceName; readonly every: number }>;
  readonly receiver: ReceiverSettings;
}
