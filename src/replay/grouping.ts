import type { TextDate } from '../grammar/decode.js';
import { EpochAssembler } from '../grammar/epoch-assembler.js';
import type { HeardEpoch } from '../grammar/heard-epoch.js';
import type { Piece } from '../grammar/splitter.js';

/** What a recorded module sent at one navigation epoch, as far as its sentences tell, with all that stands between. */
export interface RecordedGroup {
  /** In order, without gaps. */
  readonly pieces: readonly Piece[];
  readonly byteCount: number;
  /** Sentences in it, and those of them whose checksum is wrong or cannot be read. */
  readonly sentenceCount: number;
  readonly damagedCount: number;
  /** What its sound sentences say together; null: nothing. */
  readonly heard: HeardEpoch | null;
  /** UTC time of day, ms; null: they do not tell it. */
  readonly timeOfDayMs: number | null;
  readonly date: TextDate | null;
}

/** What has no epoch in it, or does not end, is cut into groups of about so many bytes. */
const MOST_BYTES = 65_536;

interface Waiting {
  readonly piece: Piece;
  readonly isDamaged: boolean;
}

/**
 * Joins the pieces of a stream into groups, one a navigation epoch. What is no sentence, what is damaged and what tells
 * nothing of an epoch belongs to the group that it follows; the first group has what comes before it too.
 */
export class Grouping {
  readonly #take: (group: RecordedGroup) => void;
  readonly #assembler = new EpochAssembler((epoch) => this.#begin(epoch));
  /** Pieces of the group whose epoch is known, and those after it. */
  #waiting: Waiting[] = [];
  #waitingBytes = 0;
  #heard: HeardEpoch | null = null;

  constructor(take: (group: RecordedGroup) => void) {
    this.#take = take;
  }

  put(piece: Piece): void {
    const checksum = piece.kind === 'sentence' ? this.#assembler.put(piece).sentence.checksum : 'good';
    this.#waiting.push({ piece, isDamaged: checksum === 'bad' || checksum === 'malformed' });
    this.#waitingBytes += piece.text.length + piece.ending.length;
    if (this.#waitingBytes > 2 * MOST_BYTES) this.end();
  }

  /** The stream is over. */
  end(): void {
    this.#assembler.end();
    this.#flush(this.#waiting.length);
  }

  /** Another epoch is whole: the group before it ends where it begins. */
  #begin(epoch: HeardEpoch): void {
    if (this.#heard !== null) {
      const { offset } = (epoch.sentences[0] as HeardEpoch['sentences'][number]).piece;
      const place = this.#waiting.findIndex(({ piece }) => piece.offset >= offset);
      this.#flush(place < 0 ? this.#waiting.length : place);
    }
    this.#heard = epoch;
  }

  #flush(count: number): void {
    const heard = this.#heard;
    this.#heard = null;
    if (count === 0) return;
    const all = this.#waiting.slice(0, count);
    this.#waiting = this.#waiting.slice(count);
    const byteCount = all.reduce((sum, { piece }) => sum + piece.text.length + piece.ending.length, 0);
    this.#waitingBytes -= byteCount;
    this.#take({
      pieces: all.map(({ piece }) => piece),
      byteCount,
      sentenceCount: all.reduce((sum, { piece }) => sum + (piece.kind === 'sentence' ? 1 : 0), 0),
      damagedCount: all.reduce((sum, { isDamaged }) => sum + (isDamaged ? 1 : 0), 0),
      heard,
      timeOfDayMs: heard?.timeOfDayMs ?? null,
      date: heard?.date ?? null,
    });
  }
}
