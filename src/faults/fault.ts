import type { z } from 'zod';
import type { LeapSeconds } from '../base/leap-seconds.js';
import type { Stream } from '../base/random.js';
import type { ByteEffect } from '../emit/line/byte-faults.js';
import type { TellTale } from '../emit/line/transmission.js';
import type { Bunching } from '../emit/module-profile.js';
import type { Report, StartKind, Truth } from '../sim/epoch.js';
import type { ArrivingSignal } from '../sim/signal/arriving-signal.js';
import type { AntennaFrame } from '../sim/sky/sky.js';

/** What a fault of signal or receiver may do to the module as a whole. */
export interface ModuleControl {
  /**
   * The module loses power for `offS` and starts anew: what its buffer held is lost, and so are settings that were not
   * saved.
   * @param midSentence null: at once; 0 to 1: in the middle of the next sentence that is sent whole, after so much of
   * it
   */
  restart(start: StartKind, offS: number, midSentence: number | null): void;
  /** The module sends a line of text, as TXT, of its own accord. */
  say(text: string): void;
}

/** Called once when a fault comes into force, and once when it is over. */
export interface Turns {
  /** @param forS how long it will be in force, s; Infinity: to the end */
  readonly begin?: (module: ModuleControl, forS: number) => void;
  readonly end?: (module: ModuleControl) => void;
}

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
export interface SignalEffect extends Turns {
  readonly signal: (signals: readonly ArrivingSignal[], context: SignalContext) => void;
}

/** When a receiver fault acts on a report. */
export interface ReportContext {
  /** Since the fault came into force, s. */
  readonly sinceS: number;
  /** Until it ends, s; Infinity: to the end of the run. */
  readonly leftS: number;
  /** Since the epoch before, s; at the first epoch, to the next. */
  readonly intervalS: number;
  /** Which leap seconds there are in this run. */
  readonly leapSeconds: LeapSeconds;
  /** The antenna as it truly moves. */
  readonly truth: Truth;
}

/** Acts on the receiver: on each report while it is in force. */
export interface ReceiverEffect extends Turns {
  readonly report?: (report: Report, context: ReportContext) => Report;
}

/** What a sentence fault knows of the sentence. */
export interface SentenceContext {
  /** Its kind: the three letters after the talker. */
  readonly name: string;
  /** The epoch's number: the sentences of one epoch have the same. */
  readonly epoch: number;
  /** What the module reports at its epoch; null before the first. */
  readonly report: Report | null;
  /**
   * A place that the true track never comes near, another one each time; it goes on record with the sentence if the
   * sentence is changed.
   */
  readonly tellTale: () => TellTale;
}

/**
 * In which order faults act on one sentence, whatever theirs in the timeline is: on which one is sent, and what it
 * says; on its checksum and length, so that it is no right sentence any more; on the letters of its checksum, and its
 * line end.
 */
export const SENTENCE_STEPS = ['content', 'damage', 'form'] as const;
export type SentenceStep = (typeof SENTENCE_STEPS)[number];

/** Acts on the sentences of the epochs in force. */
export interface SentenceEffect {
  /** Those of one step act in the order of the timeline; left out: content. */
  readonly step?: SentenceStep;
  /** `$…*hh` CR LF: returns what is sent in its place, one character a byte (latin1); empty: nothing is. */
  readonly sentence?: (sent: string, context: SentenceContext) => string;
  /**
   * The order in which an epoch's sentences are sent.
   * @param names kinds of the sentences, in the order meant
   * @returns places in `names`, each once
   */
  readonly order?: (names: readonly string[]) => readonly number[];
}

/** Acts on the line: on its bytes, or on its speed. */
export interface LineEffect extends ByteEffect {
  /** The module's UART runs at this speed while the fault is in force. */
  readonly baud?: number;
}

/** What a port fault may do to the port. */
export interface PortControl {
  /** The port goes away: hosts see a hang-up; or nothing more at all, where `hangUp` is false. */
  vanish(hangUp: boolean): void;
  /** The port is there again, under its old name or another one. */
  comeBack(as: 'same' | 'other'): void;
  /** Whoever opens the port is refused, until told otherwise. */
  refuse(isRefusing: boolean): void;
  /** Delivery in bunches; null: byte by byte, or as the module's profile says. */
  bunch(bunching: Bunching | null): void;
  /** So many bytes are kept for a host that is not there, and are the first that it gets. */
  keep(bytes: number): void;
}

/** Acts on the port, once when it comes into force and once when it is over. */
export interface PortEffect {
  readonly begin: (port: PortControl) => void;
  readonly end: (port: PortControl) => void;
}

/** What each stage lets a fault do. */
export interface Effects {
  signal: SignalEffect;
  receiver: ReceiverEffect;
  sentence: SentenceEffect;
  byte: LineEffect;
  port: PortEffect;
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
