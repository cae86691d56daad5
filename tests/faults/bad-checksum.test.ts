import { describe, expect, it } from 'vitest';
import { checksum } from '../../src/emit/sentences/checksum.js';
import { linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, faultEvents, withAndWithout } from './helper.js';

const LONG = { duration: '300 s' };

describe('bad-checksum', () => {
  it('gives the share of the sentences a wrong checksum and leaves their content', async () => {
    const timeline = [{ at: '30 s', for: '240 s', fault: 'bad-checksum', with: { share: 0.3 } }];
    const { struck } = await withAndWithout(timeline, LONG);
    const inForce = linesOf(struck.journal, 'sentence').filter(({ epoch }) => epoch >= 30 && epoch < 270);
    const bad = inForce.filter(({ sentBase64 }) => sentBase64 !== undefined);
    expectShare(bad.length, inForce.length, 0.3);
    for (const line of bad) {
      expect(line.faults).toEqual(['1.1']);
      const sent = sentBytes(line).toString('latin1');
      expect(sent.slice(0, -4)).toBe(line.text.slice(0, -2));
      expect(sent).toMatch(/\*[0-9A-F]{2}\r\n$/);
      expect(sent.slice(-4, -2)).not.toBe(checksum(sent.slice(1, sent.lastIndexOf('*'))));
    }
    // Any of the 255 wrong values may come: of some 700 draws over 200 different ones are sure to (mean 239).
    expect(
      new Set(bad.map((line) => line.text.slice(-2) + sentBytes(line).toString('latin1').slice(-4, -2))).size,
    ).toBeGreaterThan(200);
  });

  it('strikes none outside its time: sentences belong to their epoch', async () => {
    const { struck } = await withAndWithout([{ at: '30 s', for: '2 s', fault: 'bad-checksum', with: { share: 1 } }]);
    for (const { epoch, faults, sentBase64 } of linesOf(struck.journal, 'sentence')) {
      const isStruck = epoch === 30 || epoch === 31;
      expect(faults).toEqual(isStruck ? ['1.1'] : []);
      expect(sentBase64 !== undefined).toBe(isStruck);
    }
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'bad-checksum', phase: 'begin', atMs: 30_000, with: { share: 1 } },
      { id: '1.1', kind: 'bad-checksum', phase: 'end', atMs: 32_000, with: { share: 1 } },
    ]);
  });

  it('leaves position, noise and times of the rest as they are', async () => {
    const { struck, plain } = await withAndWithout([{ at: '10 s', fault: 'bad-checksum' }]);
    expectSameSentences(struck, plain);
    expect(linesOf(struck.journal, 'sentence').map(({ startMs }) => startMs)).toEqual(
      linesOf(plain.journal, 'sentence').map(({ startMs }) => startMs),
    );
    expect(struck.bytes.length).toBe(plain.bytes.length);
  });

  it('leaves alone a sentence whose checksum another fault has cut off', async () => {
    const timeline = [
      { at: '10 s', fault: 'cut-then-dollar', with: { share: 1 } },
      { at: '10 s', fault: 'bad-checksum', with: { share: 1 } },
    ];
    const { struck } = await withAndWithout(timeline);
    for (const line of linesOf(struck.journal, 'sentence')) {
      const sent = sentBytes(line).toString('latin1');
      if (line.epoch >= 10) {
        expect(line.text.startsWith(sent)).toBe(true);
        expect(line.faults).toEqual(['1.1']);
      }
    }
  });
});
