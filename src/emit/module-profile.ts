import type { ReceiverSettings } from '../sim/receiver/settings.js';
import type { SentenceName, SentenceStyle } from './sentences/style.js';

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
  readonly style: SentenceStyle;
  /** In the order sent: a sentence and at every how many epochs it comes. */
  readonly sentences: ReadonlyArray<{ readonly name: SentenceName; readonly every: number }>;
  readonly receiver: ReceiverSettings;
}
