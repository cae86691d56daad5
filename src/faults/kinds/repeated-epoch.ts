import { z } from 'zod';
import type { Stream } from '../../base/random.js';
import { defineFault, type SentenceEffect } from '../fault.js';
import { share } from '../settings.js';

export const repeatedEpoch = defineFault({
  name: 'repeated-epoch',
  title: 'Some epochs are sent with exactly the sentences of the epoch before: the same time twice.',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.2, 'epochs') }),
  goodHost: 'Takes the same time again for no news: no rate, no speed and no count comes of it.',
  create: ({ share: ofEpochs }, stream) => new Repeater(ofEpochs, stream),
});

/**
 * Sends what it sent last in place of an epoch's sentences: one by one, those that are left over with the last. Of
 * several struck epochs in a row each repeats what the first one repeated, so that with a share of 1 nothing moves.
 */
class Repeater implements SentenceEffect {
  readonly #share: number;
  readonly #stream: Stream;
  /** What was sent in the last epoch that was not struck. */
  #last: string[] = [];
  #epoch = Number.NaN;
  /** Sentences of the batch that is being handed over, and those that have gone by. */
  #size = 0;
  #gone = 0;
  #isEpoch = false;
  #isRepeat = false;

  constructor(ofEpochs: number, stream: Stream) {
    this.#share = ofEpochs;
    this.#stream = stream;
  }

  /** Moves nothing: it is told of each batch before its sentences come. */
  readonly order = (names: readonly string[]): readonly number[] => {
    // Text of the module's own accord is no epoch.
    this.#isEpoch = names.some((name) => name !== 'TXT');
    this.#size = names.length;
    this.#gone = 0;
    return names.map((_, place) => place);
  };

  readonly sentence: NonNullable<SentenceEffect['sentence']> = (sent, { epoch }) => {
    if (this.#gone === 0) this.#begin(epoch);
    const place = this.#gone++;
    if (!this.#isEpoch) return sent;
    if (!this.#isRepeat) {
      this.#last.push(sent);
      return sent;
    }
    const isLast = this.#gone === this.#size;
    return isLast ? this.#last.slice(place).join('') : (this.#last[place] ?? '');
  };

  #begin(epoch: number): void {
    // What a host asks for after an epoch's sentences is not of this batch.
    this.#isEpoch &&= epoch !== this.#epoch;
    if (!this.#isEpoch) return;
    this.#epoch = epoch;
    const isStruck = this.#stream.uniform() < this.#share;
    this.#isRepeat = isStruck && this.#last.length > 0;
    if (!this.#isRepeat) this.#last = [];
  }
}
