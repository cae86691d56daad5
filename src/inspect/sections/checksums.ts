import { counted } from '../../base/words.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Item, SentencesPart } from '../inspect-report.js';
import { Occurrences, type Section } from '../section.js';
import type { StreamClock } from '../stream-clock.js';
import { percent } from './words.js';

/** A wired line loses next to nothing: more wrong checksums than this share are a fault (common practice). */
const MOST_BAD_SHARE = 0.001;

/** How many checksums are right. */
export class ChecksumsSection implements Section<SentencesPart['checksums']> {
  readonly #counts = { good: 0, bad: 0, absent: 0, malformed: 0 };
  readonly #wrong: Occurrences;

  constructor(clock: StreamClock) {
    this.#wrong = new Occurrences(clock, 10);
  }

  heard({ piece, sentence }: Heard): void {
    this.#counts[sentence.checksum] += 1;
    if (sentence.checksum === 'bad' || sentence.checksum === 'malformed') this.#wrong.add(piece);
  }

  finish(): { part: SentencesPart['checksums']; items: Item[] } {
    const part = { ...this.#counts, examples: this.#wrong.examples };
    return { part, items: [this.#item(part)] };
  }

  #item({ good, bad, absent, malformed }: SentencesPart['checksums']): Item {
    const all = good + bad + absent + malformed;
    const wrong = bad + malformed;
    const key = 'checksums';
    const title = 'Checksums';
    if (all === 0) return { key, title, verdict: 'untested', reason: 'there is no sentence' };
    const without = absent === 0 ? '' : `, ${counted(absent, 'sentence')} without one`;
    if (wrong === 0) {
      const verdict = absent === 0 ? 'good' : absent === all ? 'bad' : 'remark';
      return { key, title, verdict, reason: `all ${counted(good, 'checksum')} right${without}` };
    }
    const share = wrong / all;
    const [first] = this.#wrong.examples;
    const where = first === undefined ? '' : `, the first in line ${first.line}`;
    const reason = `${wrong} of ${all} wrong (${percent(share)})${where}${without}`;
    return { key, title, verdict: share > MOST_BAD_SHARE ? 'bad' : 'remark', reason };
  }
}
