import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf } from '../run/helper.js';
import { expectShare, withAndWithout } from './helper.js';
import { kindOf, strike } from './sentence-helper.js';

describe('lost-sentence', () => {
  it('sends the share of the chosen kinds not at all, and each is on record as dropped', async () => {
    const timeline = [{ at: '0 s', fault: 'lost-sentence', with: { share: 0.3, sentences: ['GSV'] } }];
    const { struck, plain } = await withAndWithout(timeline, { duration: '300 s' });
    const meant = linesOf(plain.journal, 'sentence');
    const sent = linesOf(struck.journal, 'sentence');
    const dropped = linesOf(struck.journal, 'dropped');
    const isGsv = (line: { text: string }) => line.text.slice(3, 6) === 'GSV';
    expectShare(dropped.length, meant.filter(isGsv).length, 0.3);
    for (const line of dropped) {
      expect(line).toMatchObject({ reason: 'fault', faults: ['1.1'], bytes: line.text.length + 2 });
      expect(isGsv(line)).toBe(true);
    }
    // What was meant, in order, is what was sent and what was dropped.
    const left = dropped.map(({ epoch, text }) => `${epoch} ${text}`);
    const went = new Set(left);
    expect(meant.map(({ epoch, text }) => `${epoch} ${text}`).filter((each) => !went.has(each))).toEqual(
      sent.map(({ epoch, text }) => `${epoch} ${text}`),
    );
    expect(struck.bytes.equals(accountedBytes(struck.journal))).toBe(true);
    // A part of a list is lost, not always the same one.
    expect(new Set(dropped.map(({ text }) => text.split(',')[2])).size).toBeGreaterThan(1);
  });

  it('makes the set of sentences thin with a share of 1', async () => {
    const { lines, played } = await strike('lost-sentence', { share: 1, sentences: ['VTG', 'GGA', 'TXT'] });
    expect(new Set(lines.map(kindOf))).toEqual(new Set(['RMC', 'GSA', 'GSV', 'GLL', 'ZDA']));
    expect(played.bytes.toString('latin1')).not.toMatch(/VTG|GGA|TXT/);
    // The next sentence begins at once: nothing stands for what is lost.
    const first = lines.filter(({ epoch }) => epoch === 5);
    for (let i = 1; i < first.length; i++) expect(first[i]?.startMs).toBeCloseTo(first[i - 1]?.endMs ?? 0, 2);
  });
});
