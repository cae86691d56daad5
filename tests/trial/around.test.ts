import { describe, expect, it } from 'vitest';
import { surroundingsOf } from '../../src/trial/around.js';
import { madeEvidence, saidAt } from './made.js';

const SENTENCES = Array.from({ length: 40 }, (_, i) => ({
  ...{ type: 'sentence' as const, epoch: i, text: `$GPTXT,01,01,02,${i}*00`, faults: i === 3 ? ['1.1'] : [] },
  ...{ startMs: i * 100, endMs: i * 100 + 80 },
}));
const LINES = Array.from({ length: 40 }, (_, i) => ({
  atMs: i * 100 + 90,
  from: 'stdout' as const,
  text: `line ${i}`,
}));
const EVIDENCE = madeEvidence({ sentences: SENTENCES, lines: LINES });
const moment = (atMs: number, sentenceMs?: number) => ({
  ...{ atMs, what: 'something', report: null },
  ...(sentenceMs === undefined ? {} : { sentenceMs }),
});
const numbers = (list: readonly { readonly text: string }[]) =>
  list.map(({ text }) => Number(/(\d+)(?:\*00)?$/.exec(text)?.[1]));

describe('what stands around a moment', () => {
  it('are the last twelve sentences that the host had whole, and the next eight lines that it said', () => {
    const { sentences, said } = surroundingsOf(moment(2_080), EVIDENCE);
    expect(numbers(sentences)).toEqual([9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]);
    expect(numbers(said)).toEqual([20, 21, 22, 23, 24, 25, 26, 27]);
    expect(surroundingsOf(moment(2_079), EVIDENCE).sentences.at(-1)).toMatchObject({ startMs: 1_900, endMs: 1_980 });
    expect(numbers(surroundingsOf(moment(2_090), EVIDENCE).said)[0]).toBe(20);
  });

  it('is less at the begin and the end', () => {
    expect(numbers(surroundingsOf(moment(185), EVIDENCE).sentences)).toEqual([0, 1]);
    expect(surroundingsOf(moment(0), EVIDENCE).sentences).toEqual([]);
    expect(numbers(surroundingsOf(moment(3_900), EVIDENCE).said)).toEqual([39]);
    expect(surroundingsOf(moment(9_000), EVIDENCE).said).toEqual([]);
  });

  it('has the sentence that it is about, if it is an older one', () => {
    const { sentences } = surroundingsOf(moment(2_080, 300), EVIDENCE);
    expect(numbers(sentences)).toEqual([3, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]);
    expect(sentences[0]?.faults).toEqual(['1.1']);
    expect(numbers(surroundingsOf(moment(2_080, 1_500), EVIDENCE).sentences)).toHaveLength(12);
  });

  it('shows what went out, not what was meant, so that it can be read', () => {
    const sentBase64 = btoa('$GPTXT,0\x00\xff,x*1F\r\n');
    const sentences = [{ ...(SENTENCES[0] as (typeof SENTENCES)[0]), sentBase64 }];
    expect(surroundingsOf(moment(500), { ...EVIDENCE, sentences }).sentences[0]?.text).toBe('$GPTXT,0\\x00\\xff,x*1F');
  });

  it('are the reports of then, where the lines are not kept any more, and none of much later', () => {
    const reports = Array.from({ length: 40 }, (_, i) => ({ ...saidAt(i * 100 + 90, {}, i), text: `report ${i}` }));
    const late = { ...EVIDENCE, lines: LINES.slice(30), linesFromMs: 3_050, reports };
    expect(numbers(surroundingsOf(moment(2_080), late).said)).toEqual([20, 21, 22, 23, 24, 25, 26, 27]);
    expect(surroundingsOf(moment(2_080), late).said[0]).toEqual({ atMs: 2_090, from: 'reports', text: 'report 20' });
    expect(surroundingsOf(moment(2_080), { ...late, reports: [] }).said).toEqual([]);
    expect(surroundingsOf(moment(3_080), late).said[0]).toMatchObject({ from: 'stdout', text: 'line 30' });
  });

  it('are the sentences that the host had by then, however early they were on the line', () => {
    const held = SENTENCES.map((sentence) => ({ ...sentence, handedMs: sentence.endMs + 1_000 }));
    const { sentences } = surroundingsOf(moment(2_080), { ...EVIDENCE, sentences: held });
    expect(numbers(sentences).at(-1)).toBe(10);
    expect(sentences.at(-1)?.endMs).toBe(2_080);
  });
});
