import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Dropped } from '../../../src/emit/line/transmission.js';
import { countBytes } from '../../../src/emit/line/transmission.js';
import { fault, Rig, ROUNDING_MS, sentence } from './helper.js';

const MUTE = { pass: () => false };
const burst = (size: number, letter = '?') => ({
  before: () => Uint8Array.from({ length: size }, () => letter.charCodeAt(0)),
});

describe('a silence', () => {
  it('takes just the bytes whose start bit lies in it', () => {
    const windows = fc.tuple(fc.integer({ min: 0, max: 300 }), fc.integer({ min: 1, max: 200 }));
    fc.assert(
      fc.property(windows, fc.constantFrom(4800, 9600, 115200), ([beginMs, lengthMs], baud) => {
        const sentences = [sentence(40, 'A'), sentence(82, 'B'), sentence(17, 'C')];
        const plain = new Rig({ baud });
        plain.submit(20.0625, 0, sentences);
        plain.advance(Infinity);
        const muted = new Rig({ baud });
        muted.submit(20.0625, 0, sentences);
        muted.advance(Infinity, [fault('1.1', beginMs, beginMs + lengthMs, MUTE)]);
        const left = plain.stopBits.filter(({ atMs }) => {
          const startMs = atMs - plain.line.byteMs;
          return startMs < beginMs - ROUNDING_MS || startMs >= beginMs + lengthMs - ROUNDING_MS;
        });
        expect(muted.text).toBe(left.map(({ byte }) => String.fromCharCode(byte)).join(''));
        // And those at their own times.
        for (const [i, { atMs }] of muted.stopBits.entries()) {
          expect(Math.abs(atMs - (left[i]?.atMs as number))).toBeLessThan(ROUNDING_MS);
        }
        const lost = muted.dropped.reduce((sum, { bytes }) => sum + bytes, 0);
        expect(lost).toBe(plain.text.length - left.length);
        for (const loss of muted.dropped) expect([loss.reason, loss.faults]).toEqual(['fault', ['1.1']]);
      }),
    );
  });

  it('ends exactly at its end and begins exactly at its beginning', () => {
    const rig = new Rig({ baud: 10_000 });
    // A byte a millisecond: byte k starts at 100 + k ms.
    rig.submit(100, 0, [sentence(20)]);
    rig.advance(Infinity, [fault('1.1', 105, 110, MUTE)]);
    expect(rig.stopBits.map(({ atMs }) => Math.round(atMs))).toEqual([
      101, 102, 103, 104, 105, 111, 112, 113, 114, 115, 116, 117, 118, 119, 120,
    ]);
  });

  it('over a whole sentence leaves no transmission, and the line is busy all the same', () => {
    const rig = new Rig({ baud: 10_000 });
    rig.submit(100, 0, [sentence(20, 'A'), sentence(20, 'B')]);
    rig.advance(Infinity, [fault('1.1', 90, 120, MUTE)]);
    expect(rig.sent.map(({ text, startMs }) => [text[1], startMs])).toEqual([['B', 120]]);
    expect(rig.dropped.map(({ text, bytes }) => [text[1], bytes])).toEqual([['A', 20]]);
  });
});

describe('bytes between sentences', () => {
  it('take their time on the line, and the sentence follows', () => {
    const rig = new Rig({ baud: 10_000 });
    rig.submit(100, 0, [sentence(10, 'A'), sentence(10, 'B')]);
    rig.advance(Infinity, [fault('1.1', 0, 115, burst(5))]);
    expect(rig.sent.map(({ kind, cause, startMs, endMs, faults }) => [kind, cause, startMs, endMs, faults])).toEqual([
      ['bytes', 'kind-1.1', 100, 105, ['1.1']],
      ['sentence', '', 105, 115, []],
      // At 115 the fault is over: it tests the start bit.
      ['sentence', '', 115, 125, []],
    ]);
  });

  it('of two faults come one after the other, in the order of the timeline, and only within their ticks', () => {
    const rig = new Rig({ baud: 10_000 });
    const faults = [fault('1.1', 0, Infinity, burst(30, 'x')), fault('2.1', 0, Infinity, burst(30, 'y'))];
    rig.submit(80, 0, [sentence(10, 'A'), sentence(10, 'B')]);
    for (const untilMs of [100, 200, 300]) rig.advance(untilMs, faults);
    expect(rig.text.replaceAll(/(.)\1+/g, '$1')).toBe('xy$A\r\nxy$B\r\n');
    for (const { untilMs, sent } of rig.calls) {
      for (const { startMs } of sent) {
        expect(startMs).toBeLessThan(untilMs);
        expect(startMs).toBeGreaterThanOrEqual(untilMs - 100);
      }
    }
  });

  it('are muted by a silence as all else is', () => {
    const rig = new Rig({ baud: 10_000 });
    rig.submit(100, 0, [sentence(10, 'A')]);
    rig.advance(Infinity, [fault('1.1', 0, 200, burst(10)), fault('2.1', 105, 112, MUTE)]);
    // The burst's last five bytes and the first two of the sentence are gone.
    expect(rig.text).toBe('?????AAAAAA\r\n');
    expect(rig.sent.map(({ faults }) => faults)).toEqual([['1.1', '2.1'], ['2.1']]);
  });
});

describe('two faults on one sentence', () => {
  it('both stand with it, in the order of the timeline', () => {
    const rig = new Rig({ baud: 10_000 });
    const flip = {
      pass: (bytes: Uint8Array, from: number, to: number) => {
        for (let i = from; i < to; i++) bytes[i] = 0x2e;
        return true;
      },
    };
    rig.submit(100, 0, [{ text: '$ABCDEFG', altered: '$ABCDEFGHIJ', faults: ['1.1'] }]);
    rig.advance(Infinity, [fault('2.1', 102, 104, flip), fault('3.1', 106, 108, MUTE)]);
    expect(rig.text).toBe('$A..DEHIJ');
    expect(rig.sent[0]?.faults).toEqual(['1.1', '2.1', '3.1']);
    expect(rig.sent[0]?.text).toBe('$ABCDEFG');
  });

  it('that changes nothing is not named', () => {
    const rig = new Rig({ baud: 10_000 });
    rig.submit(100, 0, [sentence(10)]);
    rig.advance(Infinity, [fault('1.1', 0, 200, { pass: () => true }), fault('2.1', 300, 400, MUTE)]);
    expect(rig.sent[0]?.faults).toEqual([]);
  });
});

describe('a power cut', () => {
  const cutAt = (atMs: number, prepare: (rig: Rig) => void): { rig: Rig; lost: Dropped[] } => {
    const rig = new Rig({ baud: 10_000 });
    prepare(rig);
    const lost: Dropped[] = [];
    rig.line.cut(atMs, ['9.1'], lost);
    rig.advance(Infinity);
    return { rig, lost };
  };

  it('in the middle of a sentence ends it at the last whole byte, and loses what waits', () => {
    const { rig, lost } = cutAt(105.5, (r) => {
      r.submit(100, 0, [sentence(20, 'A'), sentence(15, 'B')]);
      r.submit(300, 1, [sentence(12, 'C')]);
      r.advance(105.5);
    });
    expect(rig.text).toBe('$AAAA');
    expect(rig.sent[0]?.faults).toEqual(['9.1']);
    expect(rig.sent[0]?.endMs).toBe(105.5);
    expect(lost.map(({ text, bytes, reason, atMs }) => [text[1], bytes, reason, atMs])).toEqual([
      ['A', 15, 'power', 105.5],
      ['B', 15, 'power', 105.5],
      ['C', 12, 'power', 105.5],
    ]);
  });

  it('at a stop bit keeps the byte that it ends', () => {
    const { rig } = cutAt(105, (r) => {
      r.submit(100, 0, [sentence(20)]);
      r.advance(105);
    });
    expect(rig.text).toBe('$AAAA');
  });

  it('leaves alone what is out, and frees the line', () => {
    const { rig, lost } = cutAt(150, (r) => {
      r.submit(100, 0, [sentence(20, 'A')]);
      r.advance(150);
      r.submit(200, 1, [sentence(12, 'B')]);
    });
    expect(rig.text).toBe(`$${'A'.repeat(17)}\r\n`);
    expect(lost.map(({ text }) => text[1])).toEqual(['B']);
    rig.submit(150, 2, [sentence(10, 'C')]);
    rig.advance(Infinity);
    expect(rig.sent[1]?.startMs).toBe(150);
  });

  it('takes bytes of faults too, and none comes out after it', () => {
    const { rig } = cutAt(110, (r) => {
      r.submit(100, 0, [sentence(20, 'A')]);
      r.advance(110, [fault('1.1', 0, 1000, burst(30, 'x')), fault('2.1', 0, 1000, burst(30, 'y'))]);
    });
    expect(rig.text).toBe('x'.repeat(10));
    for (const { atMs } of rig.stopBits) expect(atMs).toBeLessThanOrEqual(110 + ROUNDING_MS);
    expect(rig.sent.reduce((sum, transmission) => sum + countBytes(transmission), 0)).toBe(10);
  });
});
