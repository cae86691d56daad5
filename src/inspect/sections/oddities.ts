import { listed } from '../../base/words.js';
import { FIELD_FAILURES } from '../../faults/catalogue.js';
import type { FieldFailure } from '../../faults/failures/failure.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import { isSound } from '../../grammar/is-sound.js';
import type { Piece } from '../../grammar/splitter.js';
import type { Item, Oddity } from '../inspect-report.js';
import type { Look, Recogniser, Watch } from '../oddities/recogniser.js';
import { ODDITIES } from '../oddities/registry.js';
import { Occurrences, type Section, type StreamOptions } from '../section.js';
import type { StampVerdict } from '../stamp-order.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';

const FAILURE_OF = new Map<string, FieldFailure>(FIELD_FAILURES.map((failure) => [failure.id, failure]));

/** Odd things from the list of field failures that are recognised. */
export class OdditiesSection implements Section<Oddity[]> {
  readonly #all: { readonly recogniser: Recogniser; readonly watch: Watch; readonly seen: Occurrences }[];
  readonly #ofFormatter = new Map<string, Look[]>();
  readonly #ofHeard: Watch[];
  readonly #ofNoise: Watch[];
  readonly #ofEpoch: Watch[];

  constructor(clock: StreamClock, options: StreamOptions) {
    this.#all = ODDITIES.map((recogniser) => {
      const seen = new Occurrences(clock);
      return { recogniser, seen, watch: recogniser.create((piece, epoch) => seen.add(piece, epoch), options) };
    });
    const watches = this.#all.map(({ watch }) => watch);
    this.#ofHeard = watches.filter((watch) => watch.heard !== undefined);
    this.#ofNoise = watches.filter((watch) => watch.noise !== undefined);
    this.#ofEpoch = watches.filter((watch) => watch.epoch !== undefined);
    for (const { of } of watches) {
      for (const [name, look] of Object.entries(of ?? {})) {
        this.#ofFormatter.set(name, [...(this.#ofFormatter.get(name) ?? []), look]);
      }
    }
  }

  heard(heard: Heard, stamp: StampVerdict | null): void {
    for (const watch of this.#ofHeard) watch.heard?.(heard);
    const { kind, formatter } = heard.sentence;
    if (kind !== 'standard' || !isSound(heard)) return;
    for (const look of this.#ofFormatter.get(formatter) ?? []) look(heard, stamp);
  }

  noise(piece: Piece): void {
    for (const watch of this.#ofNoise) watch.noise?.(piece);
  }

  epoch(timed: TimedEpoch): void {
    for (const watch of this.#ofEpoch) watch.epoch?.(timed);
  }

  finish(): { part: Oddity[]; items: Item[] } {
    const part = this.#all.flatMap(({ recogniser: { id, severity }, watch, seen }): Oddity[] => {
      const isThere = watch.end?.() ?? true;
      if (!isThere || seen.count === 0) return [];
      const { sees, harm } = FAILURE_OF.get(id) as FieldFailure;
      return [{ id, severity, sees, harm, count: seen.count, examples: seen.examples }];
    });
    part.sort((a, b) => Number(b.severity === 'bad') - Number(a.severity === 'bad'));
    return { part, items: [itemOf(part)] };
  }
}

function itemOf(oddities: readonly Oddity[]): Item {
  const key = 'oddities';
  const title = 'Oddities';
  const bad = oddities.filter(({ severity }) => severity === 'bad').map(({ id }) => id);
  const odd = oddities.filter(({ severity }) => severity === 'remark').map(({ id }) => id);
  if (oddities.length === 0) {
    return { key, title, verdict: 'good', reason: `none of the ${ODDITIES.length} that are looked for` };
  }
  if (bad.length === 0) return { key, title, verdict: 'remark', reason: listed(odd, 12) };
  const besides = odd.length === 0 ? '' : `; and ${listed(odd, 12)}`;
  return { key, title, verdict: 'bad', reason: `${listed(bad, 12)}${besides}` };
}
