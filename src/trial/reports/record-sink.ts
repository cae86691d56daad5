import type { Reading } from './report-fields.js';
import type { ReportTaker } from './report-reader.js';

/** What is handed on of a record's text, characters. */
export const LONGEST_TEXT = 500;
/** So many records of a text that begins again are known by heart. */
const MOST_KNOWN = 1_000_000;

/**
 * Hands on what was read of each record. Where a text begins again, as a file does that its host writes anew, the
 * records that it begins with as before are left out.
 */
export class RecordSink {
  readonly #take: ReportTaker;
  /** Marks of the records of the text as it is now, and as it was before it began again. */
  #marks: number[] = [];
  #before: readonly number[] = [];
  #isSame = false;

  constructor(take: ReportTaker) {
    this.#take = take;
  }

  /** @param text the record as it was written, whole */
  put(text: string, reading: Reading): void {
    if (this.#isKnown(text, reading)) return;
    const short = text.slice(0, LONGEST_TEXT);
    if (reading.kind === 'report') this.#take.report({ ...reading.read, text: short });
    else if (reading.kind === 'other') this.#take.other?.(short);
    // Where characters came that are none in UTF-8, this is what decoding put in their place.
    else this.#take.bad(short, text.includes('\ufffd') ? `${reading.why} (it is not UTF-8)` : reading.why);
  }

  restart(): void {
    // Begun again before anything stood in it: what stood there earlier is what it may repeat.
    if (this.#isSame && this.#marks.length === 0) return;
    this.#before = this.#marks;
    this.#marks = [];
    this.#isSame = true;
  }

  #isKnown(text: string, reading: Reading): boolean {
    const mark = markOf(text);
    const place = this.#marks.length;
    if (place < MOST_KNOWN) this.#marks.push(mark);
    this.#isSame &&= this.#before[place] === mark;
    if (!this.#isSame) return false;
    // A file that only ever holds what is so now, without a time: written again, it says that it is still so.
    const isState = this.#before.length === 1 && reading.kind === 'report' && reading.read.utcMs === null;
    return !isState;
  }
}

/** FNV-1a, 32 bits, of a text's characters (G. Fowler, L. C. Noll, K.-P. Vo; from memory). */
function markOf(text: string): number {
  let mark = 0x811c9dc5;
  for (let at = 0; at < text.length; at++) mark = Math.imul(mark ^ text.charCodeAt(at), 0x01000193);
  return mark;
}
