import { readFileSync } from 'node:fs';

/** A line of a journal, as far as these tests read it. */
export interface JournalLine {
  readonly type: string;
  readonly atMs?: number;
  readonly startMs?: number;
  readonly endMs?: number;
  readonly text?: string;
  readonly sentBase64?: string;
  readonly base64?: string;
  readonly event?: string;
  readonly baud?: number;
  readonly epochs?: number;
  readonly sentences?: number;
  readonly bytes?: number;
  readonly dropped?: number;
  readonly utc?: string;
  readonly truth?: { readonly latitudeDeg: number; readonly longitudeDeg: number; readonly altitudeMslM: number };
  readonly report?: { readonly fix: string; readonly utc: string | null } & Readonly<
    Record<string, number | string | boolean | null>
  >;
}

/** Reads a journal; fails unless every line is whole. */
export function readJournal(path: string): JournalLine[] {
  const text = readFileSync(path, 'utf8');
  if (!text.endsWith('\n')) throw new Error(`the last line is cut: …${text.slice(-80)}`);
  return text
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line) as JournalLine);
}

/** The bytes that a line of a journal says went out, a character each; null for a line that is about something else. */
export function sentBytes({ type, text, sentBase64, base64 }: JournalLine): string | null {
  if (type === 'bytes') return decode(base64 ?? '');
  if (type !== 'sentence') return null;
  return sentBase64 === undefined ? `${text}\r\n` : decode(sentBase64);
}

/** All bytes that a journal says went out, in order, a character each. */
export function sentStream(journal: readonly JournalLine[]): string {
  return journal.map((line) => sentBytes(line) ?? '').join('');
}

function decode(base64: string): string {
  return Buffer.from(base64, 'base64').toString('latin1');
}
