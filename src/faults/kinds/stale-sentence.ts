import { z } from 'zod';
import { defineFault } from '../fault.js';
import { isOfSentences, sentences, share } from '../settings.js';

export const staleSentence = defineFault({
  name: 'stale-sentence',
  title: 'Some kinds of sentence are those of the epoch before, while the others are of this one.',
  stage: 'sentence',
  settings: z.strictObject({ share: share(1), sentences: sentences(['GGA']) }),
  goodHost: 'Pairs sentences by their time, and does not give a time of before midnight the date that comes after it.',
  create: (settings, stream) => {
    const memory = new Memory();
    return {
      sentence: (sent, { name, epoch }) => {
        if (!isOfSentences(name, settings.sentences)) return sent;
        const before = memory.exchange(sent, name, epoch);
        return stream.uniform() < settings.share && before !== '' && sent !== '' ? before : sent;
      },
    };
  },
});

/** Keeps the sentences of this epoch and of the one before. */
class Memory {
  #epoch = Number.NaN;
  #before = new Map<string, string[]>();
  #now = new Map<string, string[]>();

  /** Keeps a sentence. @returns the one that stood in its place an epoch before, of several of its kind; empty: none */
  exchange(sent: string, name: string, epoch: number): string {
    if (epoch !== this.#epoch) {
      this.#epoch = epoch;
      const older = this.#before;
      this.#before = this.#now;
      this.#now = older;
      older.clear();
    }
    let now = this.#now.get(name);
    if (now === undefined) {
      now = [];
      this.#now.set(name, now);
    }
    now.push(sent);
    return this.#before.get(name)?.[now.length - 1] ?? '';
  }
}
