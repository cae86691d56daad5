import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, faultEvents, JOURNAL_MS, withAndWithout } from './helper.js';

/** Of the default module: 9600 baud, ten bits a byte. */
const BYTE_MS = 10_000 / 9600;
const BEGIN_MS = 20_400;
const END_MS = 26_500;

describe('silence', () => {
  it('keeps from the host just the bytes whose start bit falls in it', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20.4 s', for: '6.1 s', fault: 'silence' }]);
    const left: Buffer[] = [];
    let lost = 0;
    for (const line of linesOf(plain.journal, 'sentence')) {
      const bytes = sentBytes(line);
      const kept = [...bytes].filter((_, k) => {
        const startMs = line.startMs + k * BYTE_MS;
        return startMs < BEGIN_MS - JOURNAL_MS || startMs >= END_MS - JOURNAL_MS;
      });
      lost += bytes.length - kept.length;
      left.push(Buffer.from(kept));
    }
    // About six seconds of some 500 bytes each.
    expect(lost).toBeGreaterThan(2000);
    expect(struck.bytes.equals(Buffer.concat(left))).toBe(true);
    expect(struck.bytes.equals(accountedBytes(struck.journal))).toBe(true);
    expect(linesOf(struck.journal, 'dropped').reduce((sum, { bytes }) => sum + bytes, 0)).toBe(lost);
  });

  it('that begins with an epoch takes the rest of a sentence that began before it', async () => {
    // At 4800 baud the epoch's last sentences are still on the line when the next epoch comes.
    const { struck, plain } = await withAndWithout([{ at: '5 s', for: '3 s', fault: 'silence' }], {}, { baud: 4800 });
    const byteMs = 10_000 / 4800;
    const straddling = linesOf(plain.journal, 'sentence').filter(
      ({ startMs, endMs }) => startMs < 5000 && endMs > 5000,
    );
    expect(straddling).toHaveLength(1);
    const { text, startMs } = straddling[0]!;
    const cut = linesOf(struck.journal, 'sentence').find((line) => line.text === text && line.startMs === startMs);
    expect(cut?.faults).toEqual(['1.1']);
    expect(sentBytes(cut!).length).toBe(Math.ceil((5000 - startMs) / byteMs));
    for (const line of linesOf(struck.journal, 'sentence')) {
      const isOutside = line.endMs <= 5000 + byteMs + JOURNAL_MS || line.startMs >= 8000 - JOURNAL_MS;
      expect(isOutside, line.text).toBe(true);
    }
  });

  it('is on record: begin, end, what was lost, and in which sentences it had a hand', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20.4 s', for: '6.1 s', fault: 'silence' }]);
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'silence', phase: 'begin', atMs: BEGIN_MS, with: {} },
      { id: '1.1', kind: 'silence', phase: 'end', atMs: END_MS, with: {} },
    ]);
    for (const loss of linesOf(struck.journal, 'dropped')) {
      expect([loss.reason, loss.faults]).toEqual(['fault', ['1.1']]);
      expect(loss.atMs).toBeGreaterThan(BEGIN_MS - 90 * BYTE_MS);
      expect(loss.atMs).toBeLessThan(END_MS);
    }
    // Cut in two by the beginning or the end: the module meant them whole.
    const touched = linesOf(struck.journal, 'sentence').filter(({ faults }) => faults.length > 0);
    expect(touched).toHaveLength(2);
    const whole = linesOf(plain.journal, 'sentence');
    for (const line of touched) {
      expect(line.faults).toEqual(['1.1']);
      const isMeant = whole.some(
        ({ text, startMs, endMs }) => text === line.text && startMs <= line.startMs && endMs >= line.endMs,
      );
      expect(isMeant).toBe(true);
      // Times are those of the bytes that went out.
      expect(Math.abs(line.endMs - line.startMs - sentBytes(line).length * BYTE_MS)).toBeLessThan(0.01);
      const sent = sentBytes(line).toString('latin1');
      expect(`${line.text}\r\n`.includes(sent)).toBe(true);
      expect(sent.length).toBeLessThan(line.text.length + 2);
    }
    expect(
      linesOf(struck.journal, 'epoch')
        .filter(({ faults }) => faults.includes('1.1'))
        .map(({ index }) => index),
    ).toEqual([21, 22, 23, 24, 25, 26]);
  });

  it('without an end lasts to the end of the run', async () => {
    const { struck, plain } = await withAndWithout([{ at: '55 s', fault: 'silence' }]);
    expect(plain.bytes.subarray(0, struck.bytes.length).equals(struck.bytes)).toBe(true);
    expect(faultEvents(struck.journal).map(({ phase, atMs }) => [phase, atMs])).toEqual([
      ['begin', 55_000],
      ['end', 60_000],
    ]);
    for (const { startMs } of linesOf(struck.journal, 'sentence')) expect(startMs).toBeLessThan(55_000);
  });

  it('leaves position and noise of the rest as they are', async () => {
    const { struck, plain } = await withAndWithout([{ at: '10 s', for: '5 s', fault: 'silence' }]);
    expectSameSentences(struck, plain, 16);
  });
});
