import { describe, expect, it } from 'vitest';
import { linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, faultEvents, JOURNAL_MS, withAndWithout } from './helper.js';

const BYTE_MS = 10_000 / 9600;

describe('garbage-bytes', () => {
  it('puts bursts of any bytes between sentences, which follow whole', async () => {
    const timeline = [{ at: '0 s', fault: 'garbage-bytes', with: { share: 0.5, size: 9 } }];
    const { struck, plain } = await withAndWithout(timeline, { duration: '300 s' });
    const bursts = linesOf(struck.journal, 'bytes');
    const sentences = linesOf(struck.journal, 'sentence');
    expectShare(bursts.length, sentences.length, 0.5);
    for (const burst of bursts) {
      expect([burst.cause, burst.faults]).toEqual(['garbage-bytes', ['1.1']]);
      expect(sentBytes(burst)).toHaveLength(9);
      expect(Math.abs(burst.endMs - burst.startMs - 9 * BYTE_MS)).toBeLessThanOrEqual(JOURNAL_MS);
    }
    expect(sentences.every(({ sentBase64 }) => sentBase64 === undefined)).toBe(true);
    expectSameSentences(struck, plain);
    expect(struck.bytes.length - plain.bytes.length).toBe(9 * bursts.length);
    // About 9000 random bytes hold all 256 values (the chance that one is missing is below 1e-13).
    expect(new Set(bursts.flatMap((burst) => [...sentBytes(burst)])).size).toBe(256);
  });

  it('comes before each sentence whose first start bit falls in its time, and takes its time on the line', async () => {
    const timeline = [{ at: '20 s', for: '2 s', fault: 'garbage-bytes', with: { share: 1, size: 4 } }];
    const { struck } = await withAndWithout(timeline);
    const sent = struck.journal.filter((line) => line.type === 'sentence' || line.type === 'bytes');
    let count = 0;
    for (const [i, line] of sent.entries()) {
      if (line.type === 'bytes') {
        count++;
        const next = sent[i + 1];
        expect(next?.type).toBe('sentence');
        expect(Math.abs((next?.startMs as number) - line.endMs)).toBeLessThanOrEqual(JOURNAL_MS);
        expect(line.startMs).toBeGreaterThanOrEqual(20_000);
        expect(line.startMs).toBeLessThan(22_000);
      } else if (line.startMs >= 20_000 && line.startMs < 22_000) {
        expect(sent[i - 1]?.type).toBe('bytes');
      }
    }
    // Two epochs of ten sentences or so.
    expect(count).toBeGreaterThan(15);
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'garbage-bytes', phase: 'begin', atMs: 20_000, with: { share: 1, size: 4 } },
      { id: '1.1', kind: 'garbage-bytes', phase: 'end', atMs: 22_000, with: { share: 1, size: 4 } },
    ]);
  });

  it('in two entries at once draws for each from a stream of its own', async () => {
    const entry = { at: '10 s', for: '30 s', fault: 'garbage-bytes', with: { share: 0.5, size: 6 } };
    const alone = (await withAndWithout([entry])).struck;
    const both = (await withAndWithout([entry, entry])).struck;
    const of = (id: string, journal: typeof both.journal) =>
      linesOf(journal, 'bytes')
        .filter(({ faults }) => faults[0] === id)
        .map(({ base64 }) => base64);
    const first = of('1.1', both.journal);
    expect(first.length).toBeGreaterThan(50);
    // The second entry delays the line by some bytes, so that the last draws may fall beyond the end.
    const shared = Math.min(first.length, of('1.1', alone.journal).length) - 5;
    expect(first.slice(0, shared)).toEqual(of('1.1', alone.journal).slice(0, shared));
    expect(of('2.1', both.journal).slice(0, 20)).not.toEqual(first.slice(0, 20));
  });
});
