import { printable } from '../../base/visible.js';
import { counted, listed, times } from '../../base/words.js';
import { type GrammarOptions, violationsOf } from '../../grammar/check.js';
import { GroupCheck } from '../../grammar/group-check.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Piece } from '../../grammar/splitter.js';
import { VIOLATIONS, type Violation, type ViolationCode } from '../../grammar/violation.js';
import type { Item, Occurrence, ViolationCount } from '../inspect-report.js';
import type { Section } from '../section.js';
import type { StreamClock } from '../stream-clock.js';

/** What has an item of its own. */
const TOLD_ELSEWHERE: readonly ViolationCode[] = ['checksum', 'checksum-absent', 'checksum-form'];

const MOST_EXAMPLES = 10;
const MOST_ADDRESSES = 12;

interface Count {
  count: number;
  readonly addresses: Set<string>;
  readonly examples: (Occurrence & { readonly what: string })[];
}

/** What the sentence standard rules out: lengths, ranges, numbers of fields, line ends, groups. */
export class GrammarSection implements Section<ViolationCount[]> {
  readonly #clock: StreamClock;
  readonly #counts = new Map<ViolationCode, Count>();
  readonly #groups = new GroupCheck();
  readonly #options: GrammarOptions = { told: new Set() };

  constructor(clock: StreamClock) {
    this.#clock = clock;
  }

  heard(heard: Heard): void {
    for (const violation of violationsOf(heard, this.#options)) this.#add(violation, heard);
    for (const violation of this.#groups.put(heard)) this.#add(violation, heard);
  }

  noise({ text }: Piece): void {
    // A sentence that has lost its beginning may be part of it.
    if (text !== '') this.#groups.disturb();
  }

  #add({ code, line, what }: Violation, heard: Heard | null): void {
    if (TOLD_ELSEWHERE.includes(code)) return;
    let count = this.#counts.get(code);
    if (count === undefined) {
      count = { count: 0, addresses: new Set(), examples: [] };
      this.#counts.set(code, count);
    }
    count.count += 1;
    const { sentence, piece } = heard ?? {};
    if (sentence?.checksum === 'good' && count.addresses.size < MOST_ADDRESSES) {
      count.addresses.add(printable(sentence.address));
    }
    if (count.examples.length >= MOST_EXAMPLES) return;
    const here = piece === undefined ? { at: this.#clock.label(), text: '' } : this.#clock.occurrence(piece);
    count.examples.push({ ...here, line, what });
  }

  finish(): { part: ViolationCount[]; items: Item[] } {
    for (const violation of this.#groups.end()) this.#add(violation, null);
    const part = [...this.#counts]
      .map(([code, { count, addresses, examples }]) => ({
        code,
        ...VIOLATIONS[code],
        count,
        addresses: [...addresses].sort(),
        examples,
      }))
      .sort((a, b) => b.count - a.count);
    return { part, items: [itemOf(part)] };
  }
}

function itemOf(violations: readonly ViolationCount[]): Item {
  const key = 'grammar';
  const title = 'Sentence format';
  const named = (list: readonly ViolationCount[]) =>
    listed(
      list.map(({ title, count, examples: [first] }) => {
        const where = first === undefined ? '' : `, line ${first.line}`;
        return `${title} (${times(count)}${where})`;
      }),
      4,
    );
  const breaches = violations.filter(({ weight }) => weight === 'breach');
  const damages = violations.filter(({ weight }) => weight === 'damage');
  const variants = violations.filter(({ weight }) => weight === 'variant');
  if (breaches.length > 0) return { key, title, verdict: 'bad', reason: named([...breaches, ...damages]) };
  if (damages.length > 0) return { key, title, verdict: 'remark', reason: named(damages) };
  if (variants.length > 0) return { key, title, verdict: 'remark', reason: `in use, not standard: ${named(variants)}` };
  return { key, title, verdict: 'good', reason: `${counted(0, 'violation')} of lengths, fields, ranges and line ends` };
}
