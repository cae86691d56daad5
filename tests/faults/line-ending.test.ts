import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf } from '../run/helper.js';
import { expectShare, withAndWithout } from './helper.js';
import { isIntact, sentText, strike } from './sentence-helper.js';

describe('line-ending', () => {
  it.each([
    ['cr', '\r'],
    ['lf', '\n'],
    ['none', ''],
    ['doubled', '\r\n\r\n'],
    ['lf-cr', '\n\r'],
  ])('%s stands behind every sentence', async (ending, text) => {
    const { played, lines } = await strike('line-ending', { ending });
    for (const line of lines) expect(sentText(line)).toBe(line.text + text);
    expect(played.bytes.toString('latin1')).toBe(lines.map((line) => line.text + text).join(''));
    expect(played.bytes.equals(accountedBytes(played.journal))).toBe(true);
  });

  it('none joins a sentence of the chosen kind with the next', async () => {
    const { played } = await strike('line-ending', { ending: 'none', sentences: ['GGA'] });
    const text = played.bytes.toString('latin1');
    expect(text).toMatch(/\$GPGGA,[^$]*\*[0-9A-F]{2}\$GP/);
    expect(text).not.toMatch(/\$GPRMC,[^$]*\*[0-9A-F]{2}\$/);
  });

  it('strikes the share', async () => {
    const { lines } = await strike('line-ending', { share: 0.5 }, { duration: '200 s' });
    expectShare(lines.filter((line) => !isIntact(sentText(line))).length, lines.length, 0.5);
  });

  it('leaves a sentence that has been cut off', async () => {
    const timeline = [
      { at: '0 s', fault: 'cut-then-dollar', with: { share: 1 } },
      { at: '0 s', fault: 'line-ending' },
    ];
    const { struck } = await withAndWithout(timeline);
    for (const { faults } of linesOf(struck.journal, 'sentence')) expect(faults).toEqual(['1.1']);
  });
});
