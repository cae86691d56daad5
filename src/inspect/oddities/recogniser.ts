import type { Decoded } from '../../grammar/decode.js';
import type { Heard, HeardEpoch } from '../../grammar/heard-epoch.js';
import type { Piece } from '../../grammar/splitter.js';
import type { StreamOptions } from '../section.js';
import type { StampVerdict } from '../stamp-order.js';
import type { TimedEpoch } from '../stream-clock.js';

/** Says that it is there. @param epoch the one that it is of, where that is known */
export type Note = (piece: Piece, epoch?: HeardEpoch) => void;

/** Sees a sentence. @param stamp what its time is to those before; null: it tells none */
export type Look = (heard: Heard, stamp: StampVerdict | null) => void;

/** Looks out for one oddity. What it keeps must not grow with the stream. */
export interface Watch {
  /** Sentences of these formatters whose checksum is right, or that have none. */
  readonly of?: Readonly<Record<string, Look>>;
  /** Every sentence. */
  heard?(heard: Heard): void;
  noise?(piece: Piece): void;
  epoch?(timed: TimedEpoch): void;
  /** @returns false: what was noted is nothing after all */
  end?(): boolean;
}

/** Recognises one row of the list of field failures in a stream alone. */
export interface Recogniser {
  /** Its id in the list. */
  readonly id: string;
  /** `remark`: legal, or of the surroundings; `bad`: something is wrong with module, line or clock. */
  readonly severity: 'remark' | 'bad';
  readonly create: (note: Note, options: StreamOptions) => Watch;
}

/** A sentence's values, of one formatter. */
export type Words<Name extends Decoded['of']> = Extract<Decoded, { of: Name }>;

/**
 * A recogniser that needs to see one sentence only.
 * @param test fields: those behind the address
 */
export function bySentence<Name extends Decoded['of']>(
  id: string,
  severity: Recogniser['severity'],
  formatters: readonly Name[],
  test: (words: Words<Name>, fields: readonly string[], heard: Heard) => boolean,
): Recogniser {
  return {
    id,
    severity,
    create: (note) => {
      const look = (heard: Heard) => {
        if (heard.decoded === null) return;
        if (test(heard.decoded as Words<Name>, heard.sentence.fields, heard)) note(heard.piece);
      };
      return { of: Object.fromEntries(formatters.map((name) => [name, look])) };
    },
  };
}

/**
 * A recogniser that needs to see one epoch only.
 * @param test finds the sentence that shows it; null: the epoch does not
 */
export function byEpoch(
  id: string,
  severity: Recogniser['severity'],
  test: (epoch: HeardEpoch) => Heard | null,
): Recogniser {
  return {
    id,
    severity,
    create: (note) => ({
      epoch: ({ epoch }) => {
        const shown = test(epoch);
        if (shown !== null) note(shown.piece, epoch);
      },
    }),
  };
}

/** A recogniser that keeps something from one piece to the next. */
export function byWatch(id: string, severity: Recogniser['severity'], create: Recogniser['create']): Recogniser {
  return { id, severity, create };
}

/** A minute of latitude is about a nautical mile, m. */
export const MINUTE_M = 1852;

/** Least step of the position that an epoch's decimals can tell, m. */
export function resolutionM(epoch: HeardEpoch): number {
  for (const { decoded, sentence } of epoch.sentences) {
    const field = decoded?.of === 'RMC' ? sentence.fields[2] : decoded?.of === 'GGA' ? sentence.fields[1] : undefined;
    if (field) return MINUTE_M / 10 ** (field.split('.')[1]?.length ?? 0);
  }
  return 0;
}

/** A sentence with its values. */
export type HeardOf<Name extends Decoded['of']> = Heard & { readonly decoded: Words<Name> };

/** The first sentence of a formatter in an epoch, what it says. */
export function sentenceOf<Name extends Decoded['of']>(epoch: HeardEpoch, name: Name): Words<Name> | null {
  return heardOf(epoch, [name])?.decoded ?? null;
}

/** The first sentence of an epoch that is of one of the formatters and passes the test; null: there is none. */
export function heardOf<Name extends Decoded['of']>(
  { sentences }: HeardEpoch,
  names: readonly Name[],
  test: (words: Words<Name>, heard: Heard) => boolean = () => true,
): HeardOf<Name> | null {
  for (const heard of sentences) {
    const { decoded } = heard;
    if (decoded === null || !names.includes(decoded.of as Name)) continue;
    if (test(decoded as Words<Name>, heard)) return heard as HeardOf<Name>;
  }
  return null;
}

/** Formatters that tell a place. */
export const WITH_PLACE = ['RMC', 'GGA', 'GNS', 'GLL'] as const;

/** Of each formatter that tells a place the first sentence of an epoch that does, in that order. */
export function placesIn(epoch: HeardEpoch): HeardOf<(typeof WITH_PLACE)[number]>[] {
  return WITH_PLACE.map((name) => heardOf(epoch, [name], ({ latitudeDeg }) => latitudeDeg !== null)).filter(
    (heard) => heard !== null,
  );
}

/** What shows where an epoch is: its first sentence with a place, else what it begins with. */
export function placeShown(epoch: HeardEpoch): Heard {
  return heardOf(epoch, WITH_PLACE, ({ latitudeDeg }) => latitudeDeg !== null) ?? (epoch.sentences[0] as Heard);
}
