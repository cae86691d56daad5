import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { TrialSentence } from '../../src/trial/evidence.js';
import { Handover } from '../../src/trial/handover.js';

const sentence = (): TrialSentence & { handedMs?: number } => ({
  ...{ type: 'sentence', epoch: 0, text: '', startMs: 0, endMs: 0, faults: [] },
});

describe('when the port was handed a sentence', () => {
  it('is when so many bytes were, in whatever portions, and whichever comes first', () => {
    const sizes = fc.array(fc.integer({ min: 1, max: 90 }), { minLength: 1, maxLength: 20 });
    const portions = fc.array(fc.integer({ min: 1, max: 200 }), { maxLength: 40 });
    fc.assert(
      fc.property(sizes, portions, fc.infiniteStream(fc.boolean()), (ofSentences, ofPortions, isLineNext) => {
        const handover = new Handover();
        const sentences = ofSentences.map(sentence);
        const turns = isLineNext[Symbol.iterator]();
        let [put, handed] = [0, 0];
        while (put < ofSentences.length || handed < ofPortions.length) {
          const isLine = handed === ofPortions.length || (put < ofSentences.length && turns.next().value === true);
          if (isLine) handover.sent(ofSentences[put] as number, sentences[put++] as TrialSentence);
          else handover.handed(handed * 10, ofPortions[handed++] as number);
        }
        const sum = (list: readonly number[], count: number) => list.slice(0, count).reduce((a, b) => a + b, 0);
        const expected = ofSentences.map((_, i) => {
          const place = ofPortions.findIndex((__, k) => sum(ofPortions, k + 1) >= sum(ofSentences, i + 1));
          return place < 0 ? undefined : place * 10;
        });
        expect(sentences.map(({ handedMs }) => handedMs)).toEqual(expected);
      }),
    );
  });

  it('counts bytes that belong to no sentence', () => {
    const handover = new Handover();
    const one = sentence();
    handover.handed(10, 50);
    handover.sent(20, null);
    handover.sent(40, one);
    expect(one.handedMs).toBeUndefined();
    handover.handed(20, 10);
    expect(one.handedMs).toBe(20);
  });

  it('is not known where nothing is told of it', () => {
    const one = sentence();
    new Handover().sent(40, one);
    expect(one).not.toHaveProperty('handedMs');
  });
});
