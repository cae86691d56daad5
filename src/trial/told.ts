import { parseSentence } from '../grammar/sentence.js';
import { Splitter } from '../grammar/splitter.js';
import type { SentenceRecord } from '../truth/journal-record.js';
import type { Evidence, TrialSentence } from './evidence.js';
import type { Span } from './expectation.js';
import { sentBytesOf } from './sent-text.js';

/** Sentences that tell a position or a time. */
const TELLING: ReadonlySet<string> = new Set(['RMC', 'GGA', 'GNS', 'GLL', 'ZDA']);

/** The three letters after the talker, as the module meant them. */
export function formatterOf({ text }: SentenceRecord): string {
  return text.slice(3, 6);
}

/**
 * Whether it tells a position or a time to a host that is there: it went out whole, with a checksum that is right or
 * none.
 */
export function isTelling(sentence: SentenceRecord): boolean {
  return TELLING.has(formatterOf(sentence)) && isSound(sentence);
}

/** Whether a sentence went out whole, with a checksum that is right or none; what faults put around it is no matter. */
export function isSound(sentence: SentenceRecord): boolean {
  return soundTextsOf(sentence).length > 0;
}

/** The sentences with a right checksum, or none, in what went out: one, mostly the text itself. */
export function soundTextsOf(sentence: SentenceRecord): string[] {
  if (sentence.sentBase64 === undefined) return [sentence.text];
  const found: string[] = [];
  const formatter = formatterOf(sentence);
  const splitter = new Splitter(({ kind, text, ending }) => {
    if (kind !== 'sentence' || ending === '') return;
    const { checksum, formatter: heard } = parseSentence(text);
    if (heard === formatter && (checksum === 'good' || checksum === 'absent')) found.push(text);
  });
  splitter.push(sentBytesOf(sentence));
  splitter.end();
  return found;
}

/** When the host had a sentence whole, simulated ms: not before its last stop bit, and when the port was handed it. */
export function hadMsOf({ endMs, handedMs }: TrialSentence): number {
  return handedMs === undefined ? endMs : Math.max(endMs, handedMs);
}

/** Whether a sentence could reach a host whole: all the while the port was there, and somebody listened. */
export function couldReach(
  { portGone, unheard }: Pick<Evidence, 'portGone' | 'unheard'>,
  sentence: TrialSentence,
): boolean {
  const isCut = (span: Span) => cutBy(span, sentence.startMs, hadMsOf(sentence));
  return !portGone.some(isCut) && !unheard.some(isCut);
}

/** Whether a span takes something of the time between two others. */
export function cutBy({ beginMs, endMs }: Span, fromMs: number, toMs: number): boolean {
  return fromMs < endMs && toMs > beginMs;
}

const KNOWN = new WeakMap<Evidence, ReadonlyMap<number, number>>();

/** When the host had the first sentence of each epoch that tells a position or time, by the epoch's index. */
export function firstToldMs(evidence: Evidence): ReadonlyMap<number, number> {
  const known = KNOWN.get(evidence);
  if (known !== undefined) return known;
  const first = new Map<number, number>();
  for (const sentence of evidence.sentences) {
    const { epoch } = sentence;
    if (first.has(epoch) || !isTelling(sentence) || !couldReach(evidence, sentence)) continue;
    first.set(epoch, hadMsOf(sentence));
  }
  KNOWN.set(evidence, first);
  return first;
}
