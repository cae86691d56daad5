import type { Command } from '../dialect/command.js';
import type { Dropped, Transmission } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { JournalEpoch } from '../truth/journal.js';
import type { SurroundingsEntry } from './surroundings.js';

/** A navigation epoch, the faults in force at it, and the line by then. */
export type EpochStep = JournalEpoch;

/** Something else that happened in the module, for the journal. */
export type ModuleEvent =
  | { readonly type: 'line'; readonly atMs: number; readonly baud: number }
  | { readonly type: 'command'; readonly atMs: number; readonly command: Command; readonly isBusy: boolean };

/** All that some time of the module brought, each in order of time. */
export interface Output {
  readonly epochs: EpochStep[];
  readonly transmissions: Transmission[];
  readonly dropped: Dropped[];
  /** Faults that came into force, and surroundings that were changed by hand. */
  readonly begun: Occurrence[];
  readonly surroundings: SurroundingsEntry[];
  readonly events: ModuleEvent[];
}

/** Nothing yet. */
export function newOutput(): Output {
  return { epochs: [], transmissions: [], dropped: [], begun: [], surroundings: [], events: [] };
}
