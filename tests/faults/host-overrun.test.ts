import { describe, expect, it } from 'vitest';
import { hostOverrun } from '../../src/faults/kinds/host-overrun.js';
import { accountedBytes, linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';
import { lineEffect } from './receiver-helper.js';

const LONG = { duration: '600 s' };
const overrun = (settings: object) => [{ at: '0 s', fault: 'host-overrun', with: settings }];

/** Where and how many bytes in a row are missing; fails if more than one run is. */
function gap(sent: string, meant: string): { at: number; count: number } {
  const count = meant.length - sent.length;
  let at = 0;
  while (at < sent.length && sent[at] === meant[at]) at++;
  expect(sent.slice(at)).toBe(meant.slice(at + count));
  return { at, count };
}

describe('host-overrun', () => {
  it('takes a run of 1 to 16 bytes from a share of the sentences, anywhere in them', async () => {
    const { struck, plain } = await withAndWithout(overrun({ share: 0.3 }), LONG);
    const lines = linesOf(struck.journal, 'sentence');
    const hit = lines.filter(({ faults }) => faults.includes('1.1'));
    expectShare(hit.length, lines.length, 0.3);
    const counts = new Set<number>();
    let endings = 0;
    for (const line of hit) {
      const { at, count } = gap(sentBytes(line).toString('latin1'), `${line.text}\r\n`);
      counts.add(count);
      if (at + count > line.text.length) endings++;
    }
    expect([...counts].sort((a, b) => a - b)).toEqual(Array.from({ length: 16 }, (_, i) => i + 1));
    expect(endings).toBeGreaterThan(0);
    expectSameSentences(struck, plain);
  });

  it('has every missing byte on record, and the others at the times that they had', async () => {
    const { struck, plain } = await withAndWithout(overrun({ share: 0.5, size: 30 }));
    expect(accountedBytes(struck.journal).equals(struck.bytes)).toBe(true);
    const lost = linesOf(struck.journal, 'dropped').filter(({ faults }) => faults.includes('1.1'));
    expect(lost.every(({ reason }) => reason === 'fault')).toBe(true);
    expect(lost.reduce((sum, { bytes }) => sum + bytes, 0)).toBe(plain.bytes.length - struck.bytes.length);
    expectSameSentences(struck, plain);
    const right = linesOf(plain.journal, 'sentence');
    for (const [i, { startMs, faults }] of linesOf(struck.journal, 'sentence').entries()) {
      if (faults.length === 0) expect(startMs).toBe(right[i]?.startMs);
    }
  });

  it('can take one byte of each, or all of a sentence', () => {
    const one = lineEffect(hostOverrun, { share: 1, size: 1 });
    const places = Array.from({ length: 2000 }, () => one.pass?.(new Uint8Array(20), 5, 15) as number[]);
    expect(places.every((lost) => lost.length === 1)).toBe(true);
    expect([...new Set(places.flat())].sort((a, b) => a - b)).toEqual([5, 6, 7, 8, 9, 10, 11, 12, 13, 14]);
    const many = lineEffect(hostOverrun, { share: 1, size: 4096 });
    const all = Array.from({ length: 50 }, () => many.pass?.(new Uint8Array(6), 0, 6) as number[]);
    expect(all.some((lost) => lost.join() === '0,1,2,3,4,5')).toBe(true);
    const none = lineEffect(hostOverrun, { share: 0 });
    expect(none.pass?.(new Uint8Array(6), 0, 6)).toBe(true);
  });

  it('takes nothing outside its time', async () => {
    const timeline = [{ at: '20 s', for: '10 s', fault: 'host-overrun', with: { share: 1 } }];
    const { struck } = await withAndWithout(timeline);
    for (const { startMs, endMs, faults } of linesOf(struck.journal, 'sentence')) {
      if (startMs >= 30_000 || endMs <= 20_000) expect(faults).toEqual([]);
      if (startMs >= 20_000 && startMs < 29_900) expect(faults).toEqual(['1.1']);
    }
  });
});
