import { describe, expect, it } from 'vitest';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';
import { isIntact, kindOf, sentText, strike } from './sentence-helper.js';

/** Places at which two texts of one length differ. */
function differences(a: string, b: string): number[] {
  return [...a].flatMap((character, i) => (character === b[i] ? [] : [i]));
}

describe('altered-digits', () => {
  it.each([1, 4])('gives the share of the sentences %i other digits, with a checksum that matches', async (count) => {
    const { lines } = await strike('altered-digits', { share: 0.3, count }, { duration: '300 s' });
    const struck = lines.filter(({ sentBase64 }) => sentBase64 !== undefined);
    expectShare(struck.length, lines.filter((line) => kindOf(line) !== 'TXT').length, 0.3);
    for (const line of struck) {
      const sent = sentText(line);
      expect(isIntact(sent)).toBe(true);
      const [body, meant] = [sent.slice(0, -4), line.text.slice(0, -2)];
      expect(body.length).toBe(meant.length);
      const places = differences(body, meant);
      // A sentence of fewer digits has them all altered.
      expect(places.length).toBe(Math.min(count, [...meant].filter((each) => /\d/.test(each)).length));
      for (const place of places) expect([body[place], meant[place]].join('')).toMatch(/^\d\d$/);
    }
    // Any digit may be struck: of hundreds the first field's and the last's are.
    const shares = struck.flatMap((line) => differences(sentText(line), line.text).map((i) => i / line.text.length));
    expect(Math.min(...shares)).toBeLessThan(0.2);
    expect(Math.max(...shares)).toBeGreaterThan(0.8);
  });

  it('alters positions so that they look sound', async () => {
    const { lines } = await strike('altered-digits', { share: 1, sentences: ['GGA'] });
    const gga = lines.filter((line) => kindOf(line) === 'GGA');
    for (const line of lines) expect(line.sentBase64 !== undefined, line.text).toBe(kindOf(line) === 'GGA');
    const placeOf = (text: string) => text.split(',').slice(2, 6).join();
    expect(gga.filter((line) => placeOf(sentText(line)) !== placeOf(line.text)).length).toBeGreaterThan(10);
  });

  it('leaves what is meant, and comes before what damages it', async () => {
    const timeline = [
      { at: '10 s', fault: 'bad-checksum', with: { share: 1 } },
      { at: '10 s', fault: 'altered-digits', with: { share: 1 } },
    ];
    const { struck, plain } = await withAndWithout(timeline);
    expectSameSentences(struck, plain);
    for (const line of struck.journal) {
      if (line.type === 'sentence' && line.epoch >= 10) expect(line.faults).toEqual(['2.1', '1.1']);
    }
  });
});
