import type { SentenceName } from '../emit/sentences/style.js';
import type { StartKind } from '../sim/epoch.js';
import type { BytePart } from './byte-pattern.js';
import type { FrameFormat } from './frame.js';
import type { Piece, SentencePattern } from './pattern.js';
import type { CaptureType } from './values.js';

/** A value that a file gives, or the name of a capture that does. */
export type Operand<Value> = { readonly value: Value } | { readonly capture: string };

/** What a command does; an interval is in ms, or in its capture's unit. */
export type ActionTemplate =
  | { readonly do: 'set-interval'; readonly interval: Operand<number> }
  | { readonly do: 'set-baud'; readonly baud: Operand<number> }
  | { readonly do: 'set-sentence'; readonly sentence: Operand<SentenceName>; readonly every: Operand<number> }
  | { readonly do: 'set-sentences'; readonly sentences: Operand<ReadonlyArray<{ name: SentenceName; every: number }>> }
  | { readonly do: 'start' | 'reset'; readonly start: Operand<StartKind> }
  | { readonly do: 'standby' | 'save' | 'forget' };

/** What is answered. */
export type ReplyTemplate = { readonly delayMs: number } & (
  | { readonly kind: 'sentence'; readonly body: Piece }
  /** One for each sentence that comes. */
  | { readonly kind: 'each-sentence'; readonly body: Piece }
  /** Text that is no sentence; `end` follows it. */
  | { readonly kind: 'line'; readonly text: Piece; readonly end: string }
  | { readonly kind: 'frame'; readonly format: FrameFormat; readonly body: readonly BytePart[] }
  | { readonly kind: 'bytes'; readonly bytes: Uint8Array }
  /** The last epoch's sentences of a kind. */
  | { readonly kind: 'last'; readonly sentence: Operand<SentenceName> }
);

/** Whether a sentence must have a checksum: `none` looks at none. */
export type ChecksumPolicy = 'required' | 'optional' | 'none';

/** A command, and what follows from it. */
export interface CommandTemplate {
  readonly name: string;
  readonly captures: ReadonlyMap<string, CaptureType>;
  readonly actions: readonly ActionTemplate[];
  /** From the command to its actions, ms; `reply`: once the replies have gone out. */
  readonly actAfter: number | 'reply';
  readonly replies: readonly ReplyTemplate[];
  /** Where a value is not allowed. */
  readonly refusals: readonly ReplyTemplate[];
}

export interface SentenceCommand extends CommandTemplate {
  readonly pattern: SentencePattern;
  readonly checksum: ChecksumPolicy;
}
export interface LineCommand extends CommandTemplate {
  readonly pattern: Piece;
}
export interface FrameCommand extends CommandTemplate {
  readonly pattern: readonly BytePart[];
}

/** What is answered to what is none of the commands, and to one that arrived damaged. */
export interface Objections {
  readonly unknown: readonly ReplyTemplate[];
  readonly wrongChecksum: readonly ReplyTemplate[];
}

/** A dialect as its file describes it. */
export interface DialectDefinition {
  readonly name: string;
  readonly title: string;
  readonly echo: boolean;
  /** The standard's query sentence is answered, after so long, ms; null: not. */
  readonly queryDelayMs: number | null;
  /** The longest sentence or line, characters, its end left out. */
  readonly longestText: number;
  /** What has been begun so long ago is noise, ms. */
  readonly frameTimeoutMs: number;
  readonly textTimeoutMs: number;
  /** Of sentences that no command matches. */
  readonly checksum: ChecksumPolicy;
  /** How sentences begin that are meant for the module; to others nothing is objected. */
  readonly address: string;
  readonly sentences: readonly SentenceCommand[];
  readonly sentenceObjections: Objections;
  readonly lines: {
    /** May be blank: any printable character begins a line. */
    readonly start: string;
    readonly end: 'CR' | 'LF' | 'either';
    readonly commands: readonly LineCommand[];
    readonly objections: Objections;
  } | null;
  readonly frames: ReadonlyArray<{
    readonly format: FrameFormat;
    readonly commands: readonly FrameCommand[];
    readonly objections: Objections;
  }>;
  /** What can be set at all: a value outside is refused. */
  readonly limits: {
    readonly baud: readonly [number, number];
    readonly intervalMs: readonly [number, number];
    readonly every: number;
  };
}
