import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fault, Rig, ROUNDING_MS, sentence } from './helper.js';

const BAUDS = [1200, 4800, 9600, 38400, 115200, 460800];

describe('the line', () => {
  it.each(BAUDS)('at %i baud ends the stop bit of byte k at the start and (k + 1) times ten bits', (baud) => {
    const startMs = 123.456;
    const rig = new Rig({ baud });
    rig.submit(startMs, 0, [sentence(70)]);
    rig.advance(Infinity);
    const outlet = rig.outlet();
    for (let k = 0; k < 70; k++) {
      const stopMs = startMs + ((k + 1) * 10_000) / baud;
      expect(outlet.take(stopMs - ROUNDING_MS)).toBe('');
      expect(outlet.take(stopMs + ROUNDING_MS)).toHaveLength(1);
    }
    expect(Math.abs((rig.sent[0]?.endMs as number) - (startMs + 700_000 / baud))).toBeLessThan(ROUNDING_MS);
    expect(outlet.take(Infinity)).toBe('');
  });

  it('sends what waits without a gap and begins what comes later at its time', () => {
    const rig = new Rig({ baud: 9600 });
    rig.submit(100, 0, [sentence(48, 'A'), sentence(96, 'B')]);
    rig.submit(500, 1, [sentence(48, 'C')]);
    rig.advance(Infinity);
    // 48 bytes of ten bits at 9600 baud last 50 ms.
    expect(
      rig.sent.map(({ startMs, endMs }) => [Math.round(startMs * 1e6) / 1e6, Math.round(endMs * 1e6) / 1e6]),
    ).toEqual([
      [100, 150],
      [150, 250],
      [500, 550],
    ]);
    expect(rig.sent.map(({ epoch }) => epoch)).toEqual([0, 0, 1]);
  });

  it('hands out the same bytes, none early and none late, however time is cut', () => {
    const times = fc.array(fc.double({ min: 0, max: 900, noNaN: true }), { maxLength: 60 });
    const baud = fc.constantFrom(...BAUDS);
    const lengths = fc.array(fc.integer({ min: 4, max: 82 }), { minLength: 1, maxLength: 8 });
    const silence = fc.tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 1, max: 300 }));
    fc.assert(
      fc.property(times, baud, lengths, silence, (cuts, speed, sizes, [fromMs, lengthMs]) => {
        const rig = new Rig({ baud: speed });
        rig.submit(
          50.125,
          0,
          sizes.map((size, i) => sentence(size, String.fromCharCode(65 + i))),
        );
        rig.advance(Infinity, [fault('1.1', fromMs, fromMs + lengthMs, { pass: () => false })]);
        const whole = rig.text;
        const stops = rig.stopBits;
        const outlet = rig.outlet();
        let out = '';
        for (const nowMs of cuts.sort((a, b) => a - b)) {
          out += outlet.take(nowMs);
          const early = stops.filter(({ atMs }) => atMs <= nowMs - ROUNDING_MS).length;
          const late = stops.filter(({ atMs }) => atMs <= nowMs + ROUNDING_MS).length;
          expect(out.length).toBeGreaterThanOrEqual(early);
          expect(out.length).toBeLessThanOrEqual(late);
          expect(whole.startsWith(out)).toBe(true);
        }
        expect(out + outlet.take(Infinity)).toBe(whole);
      }),
    );
  });

  it('says when the next byte is due, and by then has it', () => {
    for (const baud of BAUDS) {
      const rig = new Rig({ baud });
      rig.submit(0.1, 0, [sentence(40), sentence(33)]);
      rig.submit(700.7, 1, [sentence(20)]);
      rig.advance(Infinity, [fault('1.1', 30, 60, { pass: () => false })]);
      const outlet = rig.outlet();
      let text = '';
      let steps = 0;
      for (let nextMs = outlet.nextMs; nextMs < Infinity; nextMs = outlet.nextMs) {
        text += outlet.take(nextMs);
        steps++;
        // One byte a step, and one more at the end of what is muted to its end.
        if (steps > 100) break;
      }
      expect(text).toBe(rig.text);
    }
  });

  it('forgets what has not begun when it stops, and finishes what has', () => {
    const rig = new Rig({ baud: 9600 });
    rig.submit(100, 0, [sentence(48, 'A'), sentence(48, 'B'), sentence(48, 'C')]);
    rig.advance(Infinity);
    const outlet = rig.outlet();
    let text = outlet.take(175);
    const endMs = outlet.stopAfter(175);
    expect(Math.abs(endMs - 200)).toBeLessThan(ROUNDING_MS);
    text += outlet.take(endMs);
    expect(text).toBe(rig.text.slice(0, 96));
    expect(outlet.take(Infinity)).toBe('');
  });
});
