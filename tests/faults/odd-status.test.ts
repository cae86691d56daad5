import { describe, expect, it } from 'vitest';
import { expectShare } from './helper.js';
import { isIntact, kindOf, meantFields, sentFields, sentText, strike } from './sentence-helper.js';

/** Where each has its status (field order). */
const STATUS_AT: Readonly<Record<string, number>> = { RMC: 2, GLL: 6 };

describe('odd-status', () => {
  it.each([
    [{}, 'D'],
    [{ letter: 'R' }, 'R'],
  ])('%j puts the letter in the status of RMC and GLL, and touches nothing else', async (settings, letter) => {
    const { lines } = await strike('odd-status', settings);
    for (const line of lines) {
      const expected = meantFields(line);
      const at = STATUS_AT[kindOf(line)];
      if (at !== undefined) expected[at] = letter;
      expect(sentFields(line)).toEqual(expected);
      expect(isIntact(sentText(line))).toBe(true);
      expect(line.faults.length).toBe(at === undefined ? 0 : 1);
    }
  });

  it.each(['A', 'V', 'd', 'DD', '*', ''])('takes no %j', async (letter) => {
    await expect(strike('odd-status', { letter })).rejects.toThrow(
      /letter: expected one capital letter other than A and V/,
    );
  });

  it('strikes the share of the chosen kinds', async () => {
    const { lines } = await strike('odd-status', { share: 0.4, sentences: ['GLL'] }, { duration: '300 s' });
    const gll = lines.filter((line) => kindOf(line) === 'GLL');
    expectShare(gll.filter(({ faults }) => faults.length > 0).length, gll.length, 0.4);
    for (const line of lines) if (kindOf(line) !== 'GLL') expect(line.faults).toEqual([]);
  });
});
