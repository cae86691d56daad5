import { expect } from 'vitest';
import { accountedBytes, type BytesLine, linesOf, type Played, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';

/** A run with a fault that puts bytes before a share of the sentences, and what it put there. */
export async function putBetween(
  fault: string,
  settings: { readonly share: number; readonly size: number },
): Promise<{ struck: Played; plain: Played; bursts: BytesLine[] }> {
  const { struck, plain } = await withAndWithout([{ at: '0 s', fault, with: settings }], { duration: '300 s' });
  const bursts = linesOf(struck.journal, 'bytes');
  expectShare(bursts.length, linesOf(struck.journal, 'sentence').length, settings.share);
  for (const { cause, faults } of bursts) expect([cause, faults]).toEqual([fault, ['1.1']]);
  expectSameSentences(struck, plain);
  expect(accountedBytes(struck.journal).equals(struck.bytes)).toBe(true);
  expectBeforeSentences(struck);
  return { struck, plain, bursts };
}

/** Each burst has a sentence right behind it, without a gap, which is sent whole. */
function expectBeforeSentences({ journal }: Played): void {
  const MICROSECONDS = 2e-3;
  const sent = journal.filter((line) => line.type === 'sentence' || line.type === 'bytes');
  for (const [i, line] of sent.entries()) {
    if (line.type === 'sentence') {
      expect(sentBytes(line).toString('latin1')).toBe(`${line.text}\r\n`);
      continue;
    }
    const next = sent[i + 1];
    expect(next?.type).toBe('sentence');
    expect(Math.abs((next?.startMs as number) - line.endMs)).toBeLessThanOrEqual(MICROSECONDS);
  }
}
