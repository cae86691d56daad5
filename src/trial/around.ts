import type { Evidence } from './evidence.js';
import type { Moment } from './expectation.js';
import type { Around } from './result.js';
import { sentTextOf } from './sent-text.js';

/** So many sentences before a moment, and lines of the host from it on. */
const SENTENCES = 12;
const LINES = 8;

/** What the host had got before a moment, and what it said next. */
export function surroundingsOf(moment: Moment, evidence: Evidence): Around {
  const { sentences, lines } = evidence;
  let count = 0;
  // In order of their beginnings, and none overlaps another.
  while (count < sentences.length && (sentences[count]?.endMs ?? Infinity) <= moment.atMs) count++;
  const shown = sentences.slice(Math.max(0, count - SENTENCES), count);
  const meant = sentences.find(({ startMs }) => startMs === moment.sentenceMs);
  if (meant !== undefined && !shown.includes(meant)) shown.splice(0, shown.length < SENTENCES ? 0 : 1, meant);
  return {
    moment,
    sentences: shown.map((sentence) => ({
      startMs: sentence.startMs,
      endMs: sentence.endMs,
      text: sentTextOf(sentence),
      faults: sentence.faults,
    })),
    said: lines.filter(({ atMs }) => atMs >= moment.atMs).slice(0, LINES),
  };
}
