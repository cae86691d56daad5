import { describe, expect, it } from 'vitest';
import { expectShare } from './helper.js';
import { ALL_PLACES, isIntact, kindOf, meantFields, sentFields, sentText, strike } from './sentence-helper.js';

describe('half-filled-gsv', () => {
  it.each([
    ['2.3', false],
    ['4.10', true],
  ])('of version %s lacks one to three fields of the last satellite', async (version, hasSignal) => {
    const module = { ...ALL_PLACES, version, sentences: { GSV: 1, RMC: 1 } };
    const { lines } = await strike('half-filled-gsv', {}, { module });
    const missed = new Set<number>();
    for (const line of lines) {
      expect(isIntact(sentText(line))).toBe(true);
      const [meant, sent] = [meantFields(line), sentFields(line)];
      if (kindOf(line) !== 'GSV' || meant[1] !== meant[2]) {
        expect(sent).toEqual(meant);
        continue;
      }
      const missing = meant.length - sent.length;
      missed.add(missing);
      const end = hasSignal ? meant.splice(-1) : [];
      expect(sent).toEqual([...meant.slice(0, meant.length - missing), ...end]);
    }
    expect([...missed].sort()).toEqual([1, 2, 3]);
  });

  it('lacks as many as are set, in the share of the lists', async () => {
    const { lines } = await strike('half-filled-gsv', { missing: 2, share: 0.4 }, { duration: '300 s' });
    const last = lines.filter((line) => kindOf(line) === 'GSV' && meantFields(line)[1] === meantFields(line)[2]);
    const struck = last.filter(({ faults }) => faults.length > 0);
    expectShare(struck.length, last.length, 0.4);
    for (const line of struck) expect(meantFields(line).length - sentFields(line).length).toBe(2);
  });

  it('leaves a list without satellites', async () => {
    const { lines } = await strike('half-filled-gsv', {}, { receiver: { start: 'cold' }, duration: '2 s' });
    const empty = lines.filter(({ text }) => /GSV,1,1,00/.test(text));
    expect(empty.length).toBeGreaterThan(0);
    for (const line of empty) expect(line.faults).toEqual([]);
  });
});
