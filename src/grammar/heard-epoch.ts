import type { Decoded, ListedSatellite, TextDate } from './decode.js';
import type { Sentence } from './sentence.js';
import type { Piece } from './splitter.js';

/** A sentence as it was heard: where it stands, taken apart, and what it says. */
export interface Heard {
  readonly piece: Piece;
  readonly sentence: Sentence;
  readonly decoded: Decoded | null;
}

/** A satellite that an epoch lists, on one signal. */
export type HeardSatellite = ListedSatellite;

/** What the sentences of one navigation epoch say together; null: none of them tells. */
export interface HeardEpoch {
  /** From 0. */
  readonly index: number;
  readonly sentences: readonly Heard[];
  /** The latest that they tell: a stale sentence tells an earlier one. */
  readonly timeOfDayMs: number | null;
  readonly date: TextDate | null;
  /**
   * UTC as ms since 1970-01-01, from date and time of this epoch's own sentences. Second 60 is the first one of the
   * next day here.
   */
  readonly utcMs: number | null;
  /** A valid fix: by RMC or GLL, else by GGA or GNS, else by GSA. */
  readonly isValid: boolean | null;
  readonly fix: 'none' | '2d' | '3d' | null;
  readonly quality: number | null;
  readonly status: string | null;
  readonly mode: string | null;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** By GGA or GNS; else as many as GSA names. */
  readonly used: number | null;
  /** Satellites that GSA names: talker (or system id, from version 4.1 on) and number. */
  readonly usedIds: readonly { readonly talker: string; readonly system: string | null; readonly id: string }[];
  /** Sum over the talkers of GSV's count; null: no GSV. */
  readonly inView: number | null;
  readonly satellites: readonly HeardSatellite[];
}

export { EpochAssembler } from './epoch-assembler.js';
