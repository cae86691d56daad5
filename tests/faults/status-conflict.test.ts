import { describe, expect, it } from 'vitest';
import { expectShare } from './helper.js';
import { ALL_PLACES, isIntact, kindOf, meantFields, sentFields, sentText, strike } from './sentence-helper.js';

/** Where each kind says whether there is a fix: places and what stands there with one and without (field order). */
const SAYS: Readonly<Record<string, ReadonlyArray<readonly [place: number, valid: string, isVoid: string]>>> = {
  GGA: [[6, '1', '0']],
  GLL: [
    [6, 'A', 'V'],
    [7, 'A', 'N'],
  ],
  RMC: [
    [2, 'A', 'V'],
    [12, 'A', 'N'],
  ],
  GSA: [[2, '3', '1']],
  VTG: [[9, 'A', 'N']],
  GNS: [[6, 'AN', 'NN']],
};
const CHOSEN = Object.keys(SAYS);
const COLD = { receiver: { start: 'cold' }, duration: '10 s', module: ALL_PLACES };
const HOT = { receiver: { start: 'hot' }, duration: '30 s', module: ALL_PLACES };

describe('status-conflict', () => {
  it.each([
    ['void-with-fix', HOT, 2],
    ['valid-without-fix', COLD, 1],
  ] as const)('%s contradicts in each field that says so, and in no other', async (says, more, index) => {
    const { lines, played } = await strike('status-conflict', { says, sentences: CHOSEN }, more);
    const fixes = played.journal.flatMap((line) => (line.type === 'epoch' ? [line.report.fix] : []));
    let contradicted = 0;
    for (const line of lines) {
      expect(isIntact(sentText(line))).toBe(true);
      const expected = meantFields(line);
      const isWith = fixes[line.epoch] !== 'none';
      if (isWith === (says === 'void-with-fix')) {
        for (const said of SAYS[kindOf(line)] ?? []) {
          // Where all agree, the module itself says the other thing.
          expect(expected[said[0]]).not.toBe(said[index]);
          expected[said[0]] = said[index];
          contradicted++;
        }
      }
      expect(sentFields(line)).toEqual(expected);
    }
    expect(contradicted).toBeGreaterThan(50);
  });

  it('strikes RMC alone where nothing is chosen, so that RMC and GGA disagree', async () => {
    const { lines } = await strike('status-conflict', {}, HOT);
    for (const line of lines) expect(line.faults.length).toBe(kindOf(line) === 'RMC' ? 1 : 0);
    const rmc = lines.filter((line) => kindOf(line) === 'RMC');
    for (const line of rmc) expect(sentFields(line)[2]).toBe('V');
    expect(sentFields(lines.filter((line) => kindOf(line) === 'GGA').at(-1) as (typeof lines)[number])[6]).toBe('1');
  });

  it('leaves alone what there is nothing to contradict in', async () => {
    const { lines } = await strike('status-conflict', { says: 'valid-without-fix' }, HOT);
    expect(lines.every(({ sentBase64 }) => sentBase64 === undefined)).toBe(true);
  });

  it('counts satellites used where there is no fix', async () => {
    const { lines } = await strike('status-conflict', { used: 7 }, COLD);
    for (const line of lines) {
      const expected = meantFields(line);
      if (/GGA|GNS/.test(kindOf(line))) expected[7] = '07';
      expect(sentFields(line)).toEqual(expected);
    }
    const hot = await strike('status-conflict', { used: 7, sentences: ['VBW'] }, HOT);
    expect(hot.lines.every(({ sentBase64 }) => sentBase64 === undefined)).toBe(true);
  });

  it('strikes the share', async () => {
    const { lines } = await strike('status-conflict', { share: 0.4 }, { duration: '300 s' });
    const rmc = lines.filter((line) => kindOf(line) === 'RMC');
    expectShare(rmc.filter(({ faults }) => faults.length > 0).length, rmc.length, 0.4);
  });
});
