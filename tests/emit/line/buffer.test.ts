import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { countBytes } from '../../../src/emit/line/transmission.js';
import { Rig, ROUNDING_MS, sentence } from './helper.js';

describe('the transmit buffer', () => {
  it('drops as a whole each sentence that does not fit, and takes a shorter one after it', () => {
    const rig = new Rig({ transmitBufferBytes: 150, overflow: 'drop' });
    rig.submit(10, 3, [sentence(80, 'A'), sentence(80, 'B'), sentence(70, 'C'), sentence(4, 'D')]);
    rig.advance(Infinity);
    expect(rig.sent.map(({ text }) => text[1])).toEqual(['A', 'C']);
    expect(rig.dropped.map(({ text, bytes, reason, epoch, atMs }) => [text[1], bytes, reason, epoch, atMs])).toEqual([
      ['B', 80, 'transmit-buffer', 3, 10],
      ['D', 4, 'transmit-buffer', 3, 10],
    ]);
  });

  it('cuts what does not fit where the module does so', () => {
    const rig = new Rig({ transmitBufferBytes: 150, overflow: 'cut' });
    rig.submit(10, 0, [sentence(80, 'A'), sentence(80, 'B'), sentence(70, 'C')]);
    rig.advance(Infinity);
    expect(rig.text).toBe(`$${'A'.repeat(77)}\r\n$${'B'.repeat(69)}`);
    expect(rig.dropped.map(({ text, bytes }) => [text[1], bytes])).toEqual([
      ['B', 10],
      ['C', 70],
    ]);
  });

  it('counts what has not yet left: the byte on the line too', () => {
    const rig = new Rig({ baud: 9600, transmitBufferBytes: 100, overflow: 'drop' });
    rig.submit(0, 0, [sentence(96, 'A')]);
    // After 25 ms 24 of 96 bytes are out: 72 fill the buffer, 28 have room.
    rig.submit(25, 1, [sentence(29, 'B'), sentence(28, 'C')]);
    rig.advance(Infinity);
    expect(rig.sent.map(({ text }) => text[1])).toEqual(['A', 'C']);
  });

  it('on a saturated line sends whole sentences in order of time, and accounts for every byte handed over', () => {
    const sizes = fc.array(fc.integer({ min: 20, max: 82 }), { minLength: 1, maxLength: 12 });
    const overflow = fc.constantFrom('drop' as const, 'cut' as const);
    const buffer = fc.integer({ min: 128, max: 1024 });
    fc.assert(
      fc.property(sizes, overflow, buffer, (lengths, how, transmitBufferBytes) => {
        const rig = new Rig({ baud: 1200, overflow: how, transmitBufferBytes });
        const handedOver = lengths.reduce((sum, length) => sum + length, 0) * 20;
        for (let second = 0; second < 20; second++) {
          rig.submit(
            second * 1000 + 120,
            second,
            lengths.map((length) => sentence(length)),
          );
          rig.advance((second + 1) * 1000);
        }
        rig.advance(Infinity);
        let freeMs = 0;
        for (const { startMs, endMs } of rig.sent) {
          expect(startMs).toBeGreaterThanOrEqual(freeMs - ROUNDING_MS);
          freeMs = endMs;
        }
        for (const transmission of rig.sent) {
          if (how === 'drop') expect(transmission.segments).toBeNull();
          expect(`${transmission.text}\r\n`.length).toBeGreaterThanOrEqual(countBytes(transmission));
        }
        const sent = rig.sent.reduce((sum, transmission) => sum + countBytes(transmission), 0);
        const lost = rig.dropped.reduce((sum, { bytes }) => sum + bytes, 0);
        expect(sent + lost).toBe(handedOver);
        // Never more in the buffer than it holds: what is handed over at a time has left by then and a buffer's time.
        for (const { startMs, epoch } of rig.sent) {
          const waitedBytes = (startMs - (epoch * 1000 + 120)) / rig.line.byteMs;
          expect(waitedBytes).toBeLessThanOrEqual(transmitBufferBytes + ROUNDING_MS);
        }
      }),
    );
  });

  it('lets an epoch straddle into the next second where the line is slow', () => {
    const rig = new Rig({ baud: 4800 });
    rig.submit(
      280,
      0,
      Array.from({ length: 6 }, () => sentence(80)),
    );
    rig.submit(1280, 1, [sentence(80)]);
    rig.advance(1000);
    // 80 bytes at 4800 baud last 166.7 ms: five begin within the second, and the last of them ends in the next.
    expect(rig.sent).toHaveLength(5);
    expect(rig.sent[4]?.endMs).toBeGreaterThan(1000);
    rig.advance(2000);
    expect(rig.sent.map(({ epoch }) => epoch)).toEqual([0, 0, 0, 0, 0, 0, 1]);
    expect(Math.abs((rig.sent[6]?.startMs as number) - 1280)).toBeLessThan(ROUNDING_MS);
  });
});
