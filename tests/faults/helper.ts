import { expect } from 'vitest';
import {
  type FaultLine,
  type JournalLine,
  linesOf,
  meantSentences,
  type Played,
  type PlayOptions,
  playRun,
  roof,
  type SentenceLine,
} from '../run/helper.js';

/** Journal times are written to the microsecond. */
export const JOURNAL_MS = 2e-3;

/** A run with a timeline, and the same run without it. */
export async function withAndWithout(
  timeline: readonly unknown[],
  more: Readonly<Record<string, unknown>> = {},
  options: PlayOptions = {},
): Promise<{ struck: Played; plain: Played }> {
  const struck = await playRun({ ...options, scenario: roof({ ...more, timeline }) });
  const plain = await playRun({ ...options, scenario: roof(more) });
  return { struck, plain };
}

/** Begin and end of every fault: id, kind, phase, time, settings. */
export function faultEvents(journal: readonly JournalLine[]): Omit<FaultLine, 'type'>[] {
  return linesOf(journal, 'fault').map(({ id, kind, phase, atMs, with: settings }) => ({
    id,
    kind,
    phase,
    atMs,
    with: settings,
  }));
}

/** That what is in the journal of a run is what the same run has without its faults. */
export function expectSameSentences(struck: Played, plain: Played, from = 0): void {
  const [a, b] = [meantSentences(struck.journal, from), meantSentences(plain.journal, from)];
  const different = a.findIndex((text, i) => text !== b[i]);
  expect([a[different], a.length]).toEqual([b[different], b.length]);
}

/** That a count of independent chances is what its share makes likely: four standard deviations (1 in 16,000). */
export function expectShare(count: number, of: number, share: number): void {
  const FOUR_SIGMA = 4 * Math.sqrt(of * share * (1 - share));
  expect(Math.abs(count - of * share)).toBeLessThanOrEqual(FOUR_SIGMA);
}

/** Sentences by the name after the talker. */
export function named(journal: readonly JournalLine[], name: string): SentenceLine[] {
  return linesOf(journal, 'sentence').filter(({ text }) => text.slice(3, 6) === name);
}

/** Fields of a sentence without its checksum; the first is the name. */
export function fieldsOf(text: string): string[] {
  return text.slice(1, text.indexOf('*')).split(',');
}
