import type { Evidence, HostLine } from './evidence.js';
import type { Moment } from './expectation.js';
import type { Around } from './result.js';
import { sentTextOf } from './sent-text.js';
import { hadMsOf } from './told.js';

/** So many sentences before a moment, and lines of the host from it on. */
const SENTENCES = 12;
const LINES = 8;

/** What the host had got before a moment, and what it said next. */
export function surroundingsOf(moment: Moment, evidence: Evidence): Around {
  const { sentences } = evidence;
  let count = 0;
  // In order of their beginnings, and none overlaps another.
  for (let next = sentences[0]; next !== undefined && hadMsOf(next) <= moment.atMs; next = sentences[count]) count++;
  const shown = sentences.slice(Math.max(0, count - SENTENCES), count);
  const meant = sentences.find(({ startMs }) => startMs === moment.sentenceMs);
  if (meant !== undefined && !shown.includes(meant)) shown.splice(0, shown.length < SENTENCES ? 0 : 1, meant);
  return {
    moment,
    sentences: shown.map((sentence) => ({
      startMs: sentence.startMs,
      endMs: Math.round(hadMsOf(sentence)),
      text: sentTextOf(sentence),
      faults: sentence.faults,
    })),
    said: saidFrom(moment.atMs, evidence),
  };
}

/** What the host said from a time on; where its lines of then are not kept, what it reported. */
function saidFrom(fromMs: number, { lines, linesFromMs, reports }: Evidence): HostLine[] {
  if (fromMs >= linesFromMs) return lines.filter(({ atMs }) => atMs >= fromMs).slice(0, LINES);
  const reported: HostLine[] = [];
  for (const { arrivedMs, text } of reports) {
    if (arrivedMs >= linesFromMs || reported.length === LINES) break;
    if (arrivedMs >= fromMs) reported.push({ atMs: arrivedMs, from: 'reports', text });
  }
  return reported;
}
