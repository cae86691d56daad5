import { describe, expect, it } from 'vitest';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';
import { kindOf, sentText, strike } from './sentence-helper.js';

describe('stale-sentence', () => {
  it('sends GGA of the epoch before, while all else is of this one', async () => {
    const timeline = [{ at: '10 s', for: '30 s', fault: 'stale-sentence' }];
    const { struck, plain } = await withAndWithout(timeline);
    expectSameSentences(struck, plain);
    const gga = linesOf(plain.journal, 'sentence').filter((line) => kindOf(line) === 'GGA');
    for (const line of linesOf(struck.journal, 'sentence')) {
      // In its first epoch the fault knows of none before.
      const isStruck = kindOf(line) === 'GGA' && line.epoch > 10 && line.epoch < 40;
      const expected = isStruck ? gga.find(({ epoch }) => epoch === line.epoch - 1)?.text : line.text;
      expect(sentText(line)).toBe(`${expected}\r\n`);
      expect(line.faults).toEqual(isStruck ? ['1.1'] : []);
    }
  });

  it('at midnight has GGA of 23:59:59 after the date has turned', async () => {
    const { lines } = await strike('stale-sentence', {}, { start: '2026-02-28T23:59:40Z' });
    const turned = lines.find((line) => kindOf(line) === 'RMC' && sentText(line).split(',')[9] === '010326');
    const gga = lines.find((line) => kindOf(line) === 'GGA' && line.epoch === turned?.epoch);
    expect(sentText(turned as NonNullable<typeof turned>).split(',')[1]).toMatch(/^000000/);
    expect(sentText(gga as NonNullable<typeof gga>).split(',')[1]).toMatch(/^235959/);
  });

  it('gives each of several parts the one in its place an epoch before', async () => {
    const { lines } = await strike('stale-sentence', { sentences: ['GSV'] });
    const parts = (epoch: number) => lines.filter((line) => kindOf(line) === 'GSV' && line.epoch === epoch);
    for (let epoch = 1; epoch < 60; epoch++) {
      const before = parts(epoch - 1);
      for (const [i, line] of parts(epoch).entries()) {
        expect(sentText(line)).toBe(`${before[i]?.text ?? line.text}\r\n`);
      }
      expect(before.length).toBeGreaterThan(1);
    }
  });

  it('strikes the share', async () => {
    const { lines } = await strike('stale-sentence', { share: 0.3 }, { duration: '400 s' });
    expectShare(lines.filter(({ faults }) => faults.length > 0).length, 399, 0.3);
  });
});
