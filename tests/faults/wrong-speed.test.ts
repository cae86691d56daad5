import { describe, expect, it } from 'vitest';
import { wrongSpeed } from '../../src/faults/kinds/wrong-speed.js';
import { type JournalLine, linesOf } from '../run/helper.js';
import { expectSameSentences, JOURNAL_MS, withAndWithout } from './helper.js';

/** Changes of the line's speed: when, and to what. */
function speeds(journal: readonly JournalLine[]): string[] {
  const lines = journal as readonly { readonly type: string; readonly atMs?: number; readonly baud?: number }[];
  return lines.filter(({ type }) => type === 'line').map(({ atMs, baud }) => `${atMs} ${baud}`);
}

/** Two sentences an epoch fit its second at any of the speeds used here. */
const SHORT = { module: { sentences: { RMC: 1, GGA: 1 } } };

describe('wrong-speed', () => {
  it('runs the module’s line at another speed while it is in force', async () => {
    const timeline = [{ at: '20.05 s', for: '10 s', fault: 'wrong-speed' }];
    const { struck, plain } = await withAndWithout(timeline, SHORT);
    expect(speeds(struck.journal)).toEqual(['20050 4800', '30050 9600']);
    for (const { text, startMs, endMs } of linesOf(struck.journal, 'sentence')) {
      const baud = startMs >= 20_050 && startMs < 30_050 ? 4800 : 9600;
      expect(Math.abs(endMs - startMs - ((text.length + 2) * 10_000) / baud)).toBeLessThanOrEqual(JOURNAL_MS);
    }
    expectSameSentences(struck, plain);
    expect(struck.bytes.equals(plain.bytes)).toBe(true);
  });

  it('finishes what is on the line at the speed that it began with', async () => {
    const timeline = [{ at: '20.15 s', for: '10 s', fault: 'wrong-speed', with: { baud: 38_400 } }];
    const { struck } = await withAndWithout(timeline, SHORT);
    const cut = linesOf(struck.journal, 'sentence').find(({ startMs, endMs }) => startMs < 20_150 && endMs > 20_150);
    expect(cut).toBeDefined();
    const { text, startMs, endMs } = cut as NonNullable<typeof cut>;
    expect(Math.abs(endMs - startMs - ((text.length + 2) * 10_000) / 9600)).toBeLessThanOrEqual(JOURNAL_MS);
  });

  it('of two the later entry counts, and what is left of the other after it', async () => {
    const timeline = [
      { at: '10 s', for: '20 s', fault: 'wrong-speed', with: { baud: 19_200 } },
      { at: '15 s', for: '5 s', fault: 'wrong-speed', with: { baud: 57_600 } },
    ];
    const { struck } = await withAndWithout(timeline, SHORT);
    expect(speeds(struck.journal)).toEqual(['10000 19200', '15000 57600', '20000 19200', '30000 9600']);
  });

  it.each([49, 10_000_001, 4800.5])('refuses %s baud', (baud) => {
    expect(wrongSpeed.settings.safeParse({ baud }).success).toBe(false);
  });
});
