import type { z } from 'zod';
import type { Stream } from '../base/random.js';
import type { ByteEffect } from '../emit/line/byte-faults.js';
import type { Report, StartKind } from '../sim/epoch.js';
import type { ArrivingSignal } from '../sim/signal/arriving-signal.js';
import type { AntennaFrame } from '../sim/sky/sky.js';

/** When and where a signal fault acts. */
export interface SignalContext {
  /** Since the scenario's start, s. */
  readonly tS: number;
  /** Since the fault came into force, s. */
  readonly sinceS: number;
  /** Until it ends, s; Infinity: to the end of the run. */
  readonly leftS: number;
  /** Where the antenna truly is. */
  readonly antenna: AntennaFrame;
}

/** Acts on what arrives at the antenna, at each epoch in force. */
export interface SignalEffect {
  readonly signal: (signals: readonly ArrivingSignal[], context: SignalContext) => void;
}

/** What a receiver fault may do to the module as a whole. */
export interface ModuleControl {
  /** The module loses power for `offS` and starts anew: what its buffer held is lost. */
  restart(start: StartKind, offS: number): void;
}

/** Acts on the receiver: once when it comes into force, and on each report while it is. */
export interface ReceiverEffect {
  /** @param forS how long it will be in force, s; Infinity: to the end */
  readonly begin?: (module: ModuleControl, forS: number) => void;
  readonly report?: (report: Report) => Report;
}

/** Acts on a sentence, `$…*hh` CR LF: returns what is sent in its place, one character a byte (latin1). */
export interface SentenceEffect {
  readonly sentence: (sent: string) => string;
}

/** What each stage lets a fault do. */
export interface Effects {
  signal: SignalEffect;
  receiver: ReceiverEffect;
  sentence: SentenceEffect;
  byte: ByteEffect;
}

/** Where on the way from the antenna to the host a fault acts. */
export type Stage = keyof Effects;

/** A kind of fault: what a scenario can name, and how one occurrence of it is made. */
export interface FaultKind<S extends Stage = Stage, Settings = unknown> {
  /** The word in a scenario: kebab-case. */
  readonly name: string;
  /** One line of documentation. */
  readonly title: string;
  readonly stage: S;
  /** A strict object; each setting has a default and a description. */
  readonly settings: z.ZodType<Settings>;
  /** For a kind that ends by itself: its length where the entry has no `for`, s. */
  readonly lengthS?: (settings: Settings) => number;
  /** What a good host does about it, one line. */
  readonly goodHost: string;
  /** One occurrence, with a random stream of its own. */
  readonly create: (settings: Settings, stream: Stream) => Effects[S];
}

/** Keeps a definition's types together, and hands it out as one of the registry's. */
export function defineFault<S extends Stage, Settings>(kind: FaultKind<S, Settings>): FaultKind {
  return kind as unknown as FaultKind;
}
