import { EpochAssembler, type HeardEpoch } from '../grammar/heard-epoch.js';
import type { Piece } from '../grammar/splitter.js';
import { StreamClock } from './stream-clock.js';

/** Pieces that wait for the end of their epoch: no epoch has more, and without epochs memory must not grow. */
const MOST_WAITING = 5000;

/** Hands on a stream's pieces up to the end of the last epoch that begins within its first so long. */
export class FirstEpochs {
  readonly #forS: number;
  readonly #take: (piece: Piece) => void;
  readonly #clock = new StreamClock();
  readonly #assembler = new EpochAssembler((epoch) => this.#epoch(epoch));
  #waiting: Piece[] = [];
  #isOver = false;

  /** @param forS by the stream's own time, s since its first epoch */
  constructor(forS: number, take: (piece: Piece) => void) {
    this.#forS = forS;
    this.#take = take;
  }

  /** Whether an epoch has begun that is no longer one of them. */
  get isOver(): boolean {
    return this.#isOver;
  }

  put(piece: Piece): void {
    if (this.#isOver) return;
    this.#waiting.push(piece);
    if (piece.kind === 'sentence') this.#clock.see(this.#assembler.put(piece));
    if (this.#waiting.length > MOST_WAITING) this.#handOn(Infinity);
  }

  #epoch(epoch: HeardEpoch): void {
    if (this.#isOver) return;
    this.#isOver = this.#clock.time(epoch).tS >= this.#forS;
    if (this.#isOver) this.#waiting = [];
    else this.#handOn(epoch.sentences.at(-1)?.piece.offset ?? 0);
  }

  #handOn(lastOffset: number): void {
    const next = this.#waiting.findIndex(({ offset }) => offset > lastOffset);
    for (const piece of this.#waiting.splice(0, next < 0 ? this.#waiting.length : next)) this.#take(piece);
  }

  /** The stream has ended, or is not read on. */
  end(): void {
    this.#assembler.end();
    if (!this.#isOver) this.#handOn(Infinity);
  }
}
