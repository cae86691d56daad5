import type { z } from 'zod';
import type { Stream } from '../base/random.js';
import type { Report, StartKind } from '../sim/epoch.js';
import type { ArrivingSignal } from '../sim/signal/arriving-signal.js';

/** Acts on what arrives at the antenna, at each epoch in force. */
export interface SignalEffect {
  readonly signal: (signals: readonly ArrivingSignal[]) => void;
}

/** What a receiver fault may do to the module as a whole. */
export interface ModuleControl {
  /** The module loses power for `offS` and starts anew: what its buffer held is lost. */
  restart(start: StartKind, offS: number): void;
}

/** Acts on the receiver: once when it comes into force, and on each report while it is. */
export interface ReceiverEffect {
  readonly begin?: (module: ModuleControl) => void;
  readonly report?: (report: Report) => Report;
}

/** Acts on a sentence, `$…*hh` CR LF: returns what is sent in its place, one character a byte (latin1). */
export interface SentenceEffect {
  readonly sentence: (sent: string) => string;
}

/** Acts on the line. */
export interface ByteEffect {
  /** Bytes put on the line before an item whose first start bit falls in the fault's time; null for none. */
  readonly before?: () => Uint8Array | null;
  /** Bytes `from` to `to` (excluded) of an item, all with start bits in the fault's time: changed in place. False: muted. */
  readonly pass?: (bytes: Uint8Array, from: number, to: number) => boolean;
}

interface KindOf<Stage extends string, Settings, Effect> {
  /** The word in a scenario: kebab-case. */
  readonly name: string;
  /** One line of documentation. */
  readonly title: string;
  readonly stage: Stage;
  /** A strict object; each setting has a default and a description. */
  readonly settings: z.ZodType<Settings>;
  /** For a kind that ends by itself: its length where the entry has no `for`, s. */
  readonly lengthS?: (settings: Settings) => number;
  /** What a good host does about it, one line. */
  readonly goodHost: string;
  /** One occurrence, with a random stream of its own. */
  readonly create: (settings: Settings, stream: Stream) => Effect;
}

export type FaultKind<Settings = never> =
  | KindOf<'signal', Settings, SignalEffect>
  | KindOf<'receiver', Settings, ReceiverEffect>
  | KindOf<'sentence', Settings, SentenceEffect>
  | KindOf<'byte', Settings, ByteEffect>;
