import { counted, listed, number } from '../../base/words.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Item, SentenceCount } from '../inspect-report.js';
import type { Section } from '../section.js';
import type { TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';

/** So many different addresses are counted apart: damaged ones are without end. */
const MOST_ADDRESSES = 200;
/** What the rest is counted as. */
const OTHERS = '(others)';

/** RMC is to come at least every 2 s (NMEA 0183, recommended minimum data; second hand). */
const RMC_EVERY_S = 2;

interface Count {
  count: number;
  bad: number;
  bytes: number;
  inEpochs: number;
  lastEpoch: number;
  readonly everyEpochs: Tally;
}

/** What kinds of sentences there are, how many, who speaks, and how often. */
export class SentencesSection implements Section<{ counts: SentenceCount[]; talkers: string[] }> {
  readonly #counts = new Map<string, Count>();
  readonly #talkers = new Map<string, number>();
  #epochs = 0;
  #lastS = 0;
  #rmcS: number | null = null;
  #longestWithoutRmcS = 0;

  heard({ piece, sentence }: Heard): void {
    const isWrong = sentence.checksum === 'bad' || sentence.checksum === 'malformed';
    let count = this.#counts.get(sentence.address);
    if (count === undefined) {
      const name = this.#counts.size < MOST_ADDRESSES && !isWrong && sentence.kind !== 'unknown';
      const key = name ? sentence.address : OTHERS;
      count = this.#counts.get(key);
      if (count === undefined) {
        count = { count: 0, bad: 0, bytes: 0, inEpochs: 0, lastEpoch: -1, everyEpochs: new Tally(1) };
        this.#counts.set(key, count);
      }
    }
    count.count += 1;
    count.bytes += piece.text.length + piece.ending.length;
    if (isWrong) count.bad += 1;
    else if (sentence.kind === 'standard') {
      this.#talkers.set(sentence.talker, (this.#talkers.get(sentence.talker) ?? 0) + 1);
    }
  }

  epoch({ epoch, tS }: TimedEpoch): void {
    this.#epochs += 1;
    this.#lastS = tS;
    for (const { sentence } of epoch.sentences) {
      const count = this.#counts.get(sentence.address);
      if (count === undefined || count.lastEpoch === epoch.index) continue;
      if (count.lastEpoch >= 0) count.everyEpochs.add(Math.min(1000, epoch.index - count.lastEpoch));
      count.lastEpoch = epoch.index;
      count.inEpochs += 1;
      if (sentence.formatter !== 'RMC') continue;
      if (this.#rmcS !== null) this.#longestWithoutRmcS = Math.max(this.#longestWithoutRmcS, tS - this.#rmcS);
      this.#rmcS = tS;
    }
  }

  finish(): { part: { counts: SentenceCount[]; talkers: string[] }; items: Item[] } {
    const counts = [...this.#counts]
      .map(([address, { count, bad, bytes, inEpochs, everyEpochs }]) => ({
        address,
        count,
        badChecksums: bad,
        bytes,
        perEpoch: this.#epochs === 0 || inEpochs === 0 ? null : Number((count / this.#epochs).toFixed(3)),
        everyEpochs: everyEpochs.percentile(50),
      }))
      .sort((a, b) => (a.address === OTHERS ? 1 : b.address === OTHERS ? -1 : a.address < b.address ? -1 : 1));
    const talkers = [...this.#talkers].sort(([, a], [, b]) => b - a).map(([talker]) => talker);
    return { part: { counts, talkers }, items: [this.#item(counts, talkers)] };
  }

  #item(counts: readonly SentenceCount[], talkers: readonly string[]): Item {
    const title = 'Sentences';
    const all = counts.reduce((sum, { count }) => sum + count, 0);
    const kinds = new Set(counts.filter(({ address }) => address !== OTHERS).map(({ address }) => address.slice(-3)));
    const what = `${counted(all, 'sentence')} of ${counted(kinds.size, 'kind')}, talkers ${listed(talkers)}`;
    const key = 'sentences';
    if (this.#epochs === 0) return { key, title, verdict: 'bad', reason: `${what}; none tells of a fix or a time` };
    if (!kinds.has('RMC')) return { key, title, verdict: 'remark', reason: `${what}; RMC is missing` };
    if (!kinds.has('GGA') && !kinds.has('GNS')) {
      return { key, title, verdict: 'remark', reason: `${what}; GGA and GNS are missing: no height, no quality` };
    }
    const longestS = Math.max(this.#longestWithoutRmcS, this.#lastS - (this.#rmcS ?? 0));
    if (longestS > RMC_EVERY_S + 0.5) {
      const most = `${number(longestS, 1)} s without RMC, ${RMC_EVERY_S} s are the most`;
      return { key, title, verdict: 'remark', reason: `${what}; up to ${most}` };
    }
    return { key, title, verdict: 'good', reason: `${what}; RMC at least every ${RMC_EVERY_S} s` };
  }
}
