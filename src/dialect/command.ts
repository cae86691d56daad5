import type { SentenceName } from '../emit/sentences/style.js';
import type { StartKind } from '../sim/epoch.js';

/** What a module does on a command. */
export type Action =
  /** Interval of navigation epochs, whole ms. */
  | { readonly do: 'set-interval'; readonly epochMs: number }
  | { readonly do: 'set-baud'; readonly baud: number }
  /** A sentence comes at every so many epochs; 0: never. One that did not come before comes last. */
  | { readonly do: 'set-sentence'; readonly sentence: SentenceName; readonly every: number }
  /** Just these sentences come. */
  | { readonly do: 'set-sentences'; readonly sentences: ReadonlyArray<{ name: SentenceName; every: number }> }
  /** The receiver forgets, and searches anew; settings stay. */
  | { readonly do: 'start'; readonly start: StartKind }
  /** The module boots: what was not saved is lost, the banner comes. */
  | { readonly do: 'reset'; readonly start: StartKind }
  /** The receiver is switched off and nothing is sent; any byte from the host wakes it up. */
  | { readonly do: 'standby' }
  | { readonly do: 'save' }
  | { readonly do: 'forget' };

/** What a module answers. */
export type Reply =
  /** A sentence, `$…*hh` without CR LF. */
  | { readonly kind: 'text'; readonly text: string; readonly delayMs: number }
  | { readonly kind: 'binary'; readonly bytes: Uint8Array; readonly delayMs: number }
  /** The last epoch's sentences of a kind; nothing where the module does not have it. */
  | { readonly kind: 'sentence'; readonly sentence: SentenceName; readonly delayMs: number };

/**
 * How a module took what came from the host. `done`: understood and done; `refused`: understood, but a value is not
 * allowed; `bad-checksum`; `unknown`: well formed, but not in the dialect; `noise`: no command at all.
 */
export type Verdict = 'done' | 'refused' | 'bad-checksum' | 'unknown' | 'noise';

/** A command that came from the host, and what follows from it. */
export interface Command {
  /** What came, byte for byte. */
  readonly bytes: Uint8Array;
  readonly verdict: Verdict;
  /** The dialect's name of it; null for what is none of its commands. */
  readonly name: string | null;
  /** In order; the delays of several count from the same instant. */
  readonly replies: readonly Reply[];
  readonly actions: readonly Action[];
  /** From the command's last byte to its actions, ms; `reply`: once the replies have gone out, at the old speed. */
  readonly actAfter: number | 'reply';
}

/** What the module's side of a dialect needs to know when something has come. */
export interface ModuleFacts {
  readonly baud: number;
  readonly epochMs: number;
  readonly sentences: ReadonlyArray<{ readonly name: SentenceName; readonly every: number }>;
  /** Sentences that it has, by its version of the standard. */
  readonly known: readonly SentenceName[];
  /** Under which it can be asked: its own talkers, GN and GP. */
  readonly talkers: readonly string[];
}

/** Listens to a host: bytes in, commands out. It holds what has come of a command that is not complete yet. */
export interface HostListener {
  /**
   * @param atMs when the bytes came; what was begun too long ago is noise
   * @returns all that is complete, in order; never throws, whatever the bytes
   */
  take(bytes: Uint8Array, atMs: number, facts: ModuleFacts): readonly Command[];
  /** When what has begun becomes too old, ms, and `take` is to be called with no bytes; Infinity: nothing has begun. */
  readonly dueMs: number;
  /** Power was off: what had begun is forgotten. */
  reset(): void;
}

/** How a module is spoken to; compiled from a dialect's file. */
export interface Dialect {
  readonly name: string;
  readonly title: string;
  /** What the host writes comes back. */
  readonly echo: boolean;
  listen(): HostListener;
}
