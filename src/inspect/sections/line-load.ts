import { BITS_PER_BYTE } from '../../base/constants.js';
import { number } from '../../base/words.js';
import { slowestFor } from '../common-speeds.js';
import type { Item, TimingPart } from '../inspect-report.js';
import type { TimedEpoch } from '../stream-clock.js';
import { percent } from './words.js';

/** Above this the next sentence or a burst does not fit; above the second one nothing does (common practice). */
const FULL = 0.8;
const SATURATED = 0.95;

/** The fullest second is looked for over windows of epochs, up to so many in one. */
const MOST_IN_WINDOW = 64;
/** Stamps of a second apart are so up to this, s. */
const ROUNDING_S = 1e-3;
/** A window that spans a gap says nothing, s. */
const LONGEST_WINDOW_S = 1.5;

type Load = Pick<TimingPart, 'bytesPerS' | 'fullestBytesPerS' | 'load' | 'fullestLoad'> & { readonly items: Item[] };

/** How many bytes a second the stream has, and what share of the line's speed they take. */
export class LineLoad {
  readonly #baud: number | null;
  #first: { tS: number; offset: number } | null = null;
  #last = { tS: 0, offset: 0 };
  readonly #window: { tS: number; offset: number }[] = [];
  #fullestBytesPerS: number | null = null;

  constructor(baud: number | null) {
    this.#baud = baud;
  }

  epoch({ tS, piece }: TimedEpoch): void {
    const here = { tS, offset: piece.offset };
    this.#first ??= here;
    this.#last = here;
    const window = this.#window;
    window.push(here);
    while (window.length > MOST_IN_WINDOW || (window[1] !== undefined && tS - window[1].tS >= 1 - ROUNDING_S)) {
      window.shift();
    }
    const [from] = window as [{ tS: number; offset: number }];
    const spanS = tS - from.tS;
    if (spanS < 1 - ROUNDING_S || spanS > LONGEST_WINDOW_S) return;
    this.#fullestBytesPerS = Math.max(this.#fullestBytesPerS ?? 0, (here.offset - from.offset) / spanS);
  }

  finish(): Load {
    const first = this.#first;
    const spanS = first === null ? 0 : this.#last.tS - first.tS;
    const bytesPerS = first === null || spanS <= 0 ? null : (this.#last.offset - first.offset) / spanS;
    const fullestBytesPerS = this.#fullestBytesPerS ?? bytesPerS;
    const baud = this.#baud;
    const loadOf = (value: number | null) => (value === null || baud === null ? null : (value * BITS_PER_BYTE) / baud);
    const load = loadOf(bytesPerS);
    const fullestLoad = loadOf(fullestBytesPerS);
    return {
      bytesPerS,
      fullestBytesPerS,
      load,
      fullestLoad,
      items: [itemOf({ bytesPerS, fullestBytesPerS, load, fullestLoad }, baud)],
    };
  }
}

function itemOf({ bytesPerS, fullestBytesPerS, load, fullestLoad }: Omit<Load, 'items'>, baud: number | null): Item {
  const key = 'line-load';
  const title = 'Line load';
  if (bytesPerS === null || fullestBytesPerS === null) {
    return { key, title, verdict: 'untested', reason: 'no times to tell' };
  }
  const bytes = `${number(bytesPerS, 0)} bytes/s, ${number(fullestBytesPerS, 0)} in the fullest second`;
  if (load === null || fullestLoad === null) {
    const needed = slowestFor((fullestBytesPerS * BITS_PER_BYTE) / SATURATED);
    const least = needed === null ? '' : `; needs ${needed} baud or more`;
    return { key, title, verdict: 'untested', reason: `${bytes}${least}; the line speed is not known (--baud)` };
  }
  const reason = `${bytes}: ${percent(load)} of ${baud} baud, ${percent(fullestLoad)} in the fullest second`;
  const verdict = load > SATURATED ? 'bad' : fullestLoad > FULL ? 'remark' : 'good';
  return { key, title, verdict, reason };
}
