import { grouped } from '../../base/words.js';
import type { Heard, HeardEpoch } from '../../grammar/heard-epoch.js';
import type { Piece } from '../../grammar/splitter.js';
import type { Item, StreamFacts } from '../inspect-report.js';
import type { Section, StreamEnd, StreamOptions } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { lasting, percent } from './words.js';

/** A stream of which more than this share is no sentence is not fit for a host (common practice). */
const MOST_NOISE = 0.01;
/** Bytes that no text has. */
const NO_TEXT = /[^\t\n\r -~]/g;

/** How much there was, and how much of it was no sentence. */
export class StreamSection implements Section<StreamFacts> {
  readonly #clock: StreamClock;
  readonly #options: StreamOptions;
  #bytes = 0;
  #lines = 0;
  #noiseBytes = 0;
  #binaryBytes = 0;
  #epochs = 0;
  #hasArrivalTimes = false;
  #first: string | null = null;
  #last: HeardEpoch | null = null;
  #lastS = 0;
  #isCutOff = false;

  constructor(clock: StreamClock, options: StreamOptions) {
    this.#clock = clock;
    this.#options = options;
  }

  heard({ piece }: Heard): void {
    this.#take(piece);
    this.#isCutOff = piece.ending === '';
  }

  noise(piece: Piece): void {
    this.#take(piece);
    this.#noiseBytes += piece.text.length;
    this.#binaryBytes += piece.text.match(NO_TEXT)?.length ?? 0;
    this.#isCutOff = false;
  }

  #take({ text, ending, line, startMs }: Piece): void {
    this.#bytes += text.length + ending.length;
    this.#lines = line;
    if (startMs !== null) this.#hasArrivalTimes = true;
  }

  epoch({ epoch, tS, piece }: TimedEpoch): void {
    this.#epochs += 1;
    this.#lastS = tS;
    if (epoch.timeOfDayMs === null) return;
    this.#first ??= this.#clock.occurrence(piece, epoch).at;
    this.#last = epoch;
  }

  finish({ gone }: StreamEnd): { part: StreamFacts; items: Item[] } {
    const { name, kind, baud = null, isBaudFound = false } = this.#options;
    const last = this.#last;
    const part: StreamFacts = {
      name,
      kind,
      baud,
      isBaudFound,
      bytes: this.#bytes,
      lines: this.#lines,
      noiseBytes: this.#noiseBytes,
      binaryBytes: this.#binaryBytes,
      epochs: this.#epochs,
      hasArrivalTimes: this.#hasArrivalTimes,
      durationS: this.#epochs < 2 ? null : this.#lastS,
      firstUtc: this.#first,
      lastUtc: last === null ? null : this.#clock.occurrence(last.sentences[0]!.piece, last).at,
      isCutOff: this.#isCutOff,
      gone,
    };
    return { part, items: [itemOf(part)] };
  }
}

function itemOf({ bytes, lines, noiseBytes, binaryBytes, durationS, isCutOff, gone }: StreamFacts): Item {
  const key = 'stream';
  const title = 'Stream';
  const long = durationS === null ? '' : `, ${lasting(durationS)}`;
  const size = `${grouped(bytes)} bytes, ${grouped(lines)} lines${long}`;
  const binary = binaryBytes === 0 ? '' : `, ${grouped(binaryBytes)} of them no text`;
  const share = noiseBytes / Math.max(1, bytes);
  const noise = noiseBytes === 0 ? '' : `; ${percent(share)} in no sentence (${grouped(noiseBytes)} bytes${binary})`;
  const cut = isCutOff ? '; the last sentence has no end' : '';
  const went = gone === null ? '' : `; the port went before the listening ended: ${gone}`;
  const verdict = share > MOST_NOISE || gone !== null ? 'bad' : noiseBytes > 0 || isCutOff ? 'remark' : 'good';
  return { key, title, verdict, reason: `${size}${noise}${cut}${went}` };
}
