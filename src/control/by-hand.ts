import { FAULT_KINDS } from '../faults/registry.js';
import { settingsAsWritten, surroundingsAsWritten } from '../scenario/as-written.js';
import type { Surroundings } from '../sim/surroundings.js';
import type { JournalRecord, RunRecord } from '../truth/journal-record.js';

/** An entry of a timeline, as it is written. */
export type WrittenEntry = Readonly<Record<string, unknown>>;

/** What a journal tells of how a run was played. */
export interface Played {
  readonly run: RunRecord;
  /** What was done to it from outside, as entries of a timeline. */
  readonly entries: readonly WrittenEntry[];
  /** Of the last epoch; null where there was none. */
  readonly lastEpochMs: number | null;
  /** It came to its end, or was stopped: nothing ended it before its journal did. */
  readonly hasEnd: boolean;
}

/** Something started by hand that has begun. */
interface Begun {
  readonly id: string;
  readonly atMs: number;
  readonly what: WrittenEntry;
  /** How long it lasts by itself, s; null: no such time is on record. */
  readonly ownS: number | null;
  endMs: number | null;
}

/** What is done at a time; of several things at one time, what begins comes first. */
interface Deed {
  readonly atMs: number;
  readonly rank: number;
  readonly entry: WrittenEntry;
  /** Id of what it ends. */
  readonly clears?: string;
}

const RANK = { begin: 0, other: 1 } as const;

/** Ids of what was started by hand: `live-2.1`. */
const BY_HAND = /^(live-\d+)\.\d+$/;

/**
 * Reads from a journal how a run was played, and what was done to it.
 * @throws LodestubError `journal.…`
 */
export function playedOf(records: Iterable<JournalRecord>): Played {
  let run: RunRecord | null = null;
  const begun = new Map<string, Begun>();
  /** By id, s: as long as was wished at the start; null: until it is cleared. */
  const wishedS = new Map<string, number | null>();
  const deeds: Deed[] = [];
  let lastMs: number | null = null;
  let intervalMs: number | null = null;
  let hasEnd = false;
  for (const record of records) {
    if (record.type === 'run') run = record;
    else if (record.type === 'end') hasEnd = true;
    else if (record.type === 'epoch') {
      if (lastMs !== null) intervalMs = record.atMs - lastMs;
      lastMs = record.atMs;
    } else if (record.type === 'host' && record.base64 !== undefined) {
      const entry = { at: seconds(record.atMs), command: `base64:${record.base64}` };
      deeds.push({ atMs: record.atMs, rank: RANK.other, entry });
    } else if (record.type === 'control') noteControl(record, wishedS, deeds);
    else if ((record.type === 'fault' || record.type === 'surroundings') && BY_HAND.test(record.id)) {
      const known = begun.get(record.id);
      if (record.phase === 'end' && known !== undefined) known.endMs = record.atMs;
      else if (record.phase === 'begin') begun.set(record.id, begunBy(record));
    }
  }
  if (run === null) throw new Error('the reader has let a journal without its first record pass');
  const endsMs = lastMs === null ? 0 : lastMs + (intervalMs ?? run.epochMs);
  for (const each of begun.values()) {
    const { id, atMs, what } = each;
    const forS = wishedS.has(id) ? (wishedS.get(id) ?? null) : lengthOf(each, endsMs);
    const lasts = forS === null ? {} : { for: seconds(forS * 1000) };
    const entry = { at: seconds(atMs), id: id.split('.')[0], ...lasts, ...what };
    deeds.push({ atMs, rank: RANK.begin, entry });
  }
  deeds.sort((a, b) => a.atMs - b.atMs || a.rank - b.rank);
  // The run may have ended before something began, and with it what ends it.
  const done = deeds.filter(({ clears }) => clears === undefined || !BY_HAND.test(clears) || begun.has(clears));
  const entries = done.map(({ entry }) => entry);
  return { run, entries, lastEpochMs: lastMs, hasEnd };
}

/** What a hand has done: `start` tells how long, `clear` ends something, `end` the run. */
function noteControl(
  record: Readonly<Record<string, unknown>>,
  wishedS: Map<string, number | null>,
  deeds: Deed[],
): void {
  const { id, forS, effectMs, stop } = record;
  if (record.do === 'end' && typeof effectMs === 'number') {
    deeds.push({ atMs: effectMs, rank: RANK.other, entry: { at: seconds(effectMs), stop } });
  }
  if (typeof id !== 'string') return;
  if (record.do === 'start') wishedS.set(id, typeof forS === 'number' ? forS : null);
  if (record.do !== 'clear' || typeof effectMs !== 'number') return;
  const entry = { at: seconds(effectMs), clear: id.split('.')[0] };
  deeds.push({ atMs: effectMs, rank: RANK.other, entry, clears: id });
}

function begunBy(record: Extract<JournalRecord, { type: 'fault' | 'surroundings' }>): Begun {
  const { id, atMs } = record;
  if (record.type === 'surroundings') {
    const around = { kind: record.surroundings, ...record.with } as Surroundings;
    return { id, atMs, what: { surroundings: surroundingsAsWritten(around) }, ownS: null, endMs: null };
  }
  const kind = FAULT_KINDS.find(({ name }) => name === record.kind);
  if (kind === undefined) return { id, atMs, what: { fault: record.kind, with: record.with }, ownS: null, endMs: null };
  const written = settingsAsWritten(kind, record.with);
  const isPlain = Object.keys(written as object).length === 0;
  const what = { fault: record.kind, ...(isPlain ? {} : { with: written }) };
  return { id, atMs, what, ownS: kind.lengthS?.(record.with) ?? null, endMs: null };
}

/**
 * How long something was in force, s, where nobody has said how long it should be; null: to the end, or as long as its
 * kind says.
 */
function lengthOf({ atMs, endMs, ownS }: Begun, endsMs: number): number | null {
  if (endMs === null || endMs >= endsMs || endMs <= atMs) return null;
  const forS = (endMs - atMs) / 1000;
  return forS === ownS ? null : forS;
}

/** A time to the microsecond: `12.34 s`. */
export function seconds(timeMs: number): string {
  return `${Number((timeMs / 1000).toFixed(6))} s`;
}
