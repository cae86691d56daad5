import { describe, expect, it } from 'vitest';
import type { LineEffect } from '../../src/faults/fault.js';
import { bitErrors } from '../../src/faults/kinds/bit-errors.js';
import { accountedBytes, linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';
import { lineEffect } from './receiver-helper.js';

const LONG = { duration: '600 s' };
const noise = (rate: number) => [{ at: '0 s', fault: 'bit-errors', with: { rate } }];

/** Bits by which two runs of bytes differ: of each, its place in the byte. */
function flipped(sent: Uint8Array, meant: Uint8Array): number[] {
  expect(sent).toHaveLength(meant.length);
  const places: number[] = [];
  for (const [i, byte] of sent.entries()) {
    for (let bit = 0; bit < 8; bit++) if (((byte ^ (meant[i] as number)) >> bit) & 1) places.push(bit);
  }
  return places;
}

function pass(effect: LineEffect, bytes: Uint8Array, from = 0, to = bytes.length): void {
  expect(effect.pass?.(bytes, from, to)).toBe(true);
}

describe('bit-errors', () => {
  it('flips data bits at the rate set, any of the eight, and loses no byte', async () => {
    const { struck, plain } = await withAndWithout(noise(1e-3), LONG);
    const places = flipped(struck.bytes, plain.bytes);
    expectShare(places.length, plain.bytes.length * 8, 1e-3);
    for (let bit = 0; bit < 8; bit++) {
      expectShare(places.filter((place) => place === bit).length, places.length, 1 / 8);
    }
    expectSameSentences(struck, plain);
    expect(accountedBytes(struck.journal).equals(struck.bytes)).toBe(true);
    expect(linesOf(struck.journal, 'dropped')).toEqual(linesOf(plain.journal, 'dropped'));
  });

  it('names itself on the sentences that it has changed, which are on record as sent', async () => {
    const { struck } = await withAndWithout(noise(1e-4), LONG);
    const lines = linesOf(struck.journal, 'sentence');
    const hit = lines.filter(({ faults }) => faults.length > 0);
    // A sentence of 500 bits or so stays whole with a chance of 95 in 100.
    expect(hit.length / lines.length).toBeGreaterThan(0.02);
    expect(hit.length / lines.length).toBeLessThan(0.1);
    for (const line of lines) {
      const meant = Buffer.from(`${line.text}\r\n`, 'latin1');
      expect(line.faults.length > 0).toBe(!sentBytes(line).equals(meant));
      expect(line.sentBase64 !== undefined).toBe(line.faults.length > 0);
    }
  });

  it('acts within its time alone', async () => {
    const timeline = [{ at: '20.3 s', for: '10 s', fault: 'bit-errors', with: { rate: 0.05 } }];
    const { struck, plain } = await withAndWithout(timeline);
    expect(struck.bytes).toHaveLength(plain.bytes.length);
    const hit = linesOf(struck.journal, 'sentence').filter(({ faults }) => faults.length > 0);
    expect(hit.length).toBeGreaterThan(50);
    for (const { startMs, endMs } of hit) expect(endMs > 20_300 && startMs < 30_300).toBe(true);
  });

  it('flips every bit at a rate of 1, those of its part of the bytes alone', () => {
    const bytes = new Uint8Array(6);
    pass(lineEffect(bitErrors, { rate: 1 }), bytes, 2, 5);
    expect([...bytes]).toEqual([0, 0, 255, 255, 255, 0]);
  });

  it('does not depend on how the bytes come in pieces', () => {
    const whole = new Uint8Array(50_000);
    pass(lineEffect(bitErrors, { rate: 0.003 }), whole);
    const pieces = new Uint8Array(50_000);
    const effect = lineEffect(bitErrors, { rate: 0.003 });
    for (let from = 0, size = 1; from < pieces.length; from += size, size = (size % 83) + 1) {
      pass(effect, pieces, from, Math.min(pieces.length, from + size));
    }
    expect(Buffer.from(pieces).equals(Buffer.from(whole))).toBe(true);
    expect(whole.some((byte) => byte !== 0)).toBe(true);
  });

  it('draws once a flip, not once a bit', () => {
    let draws = 0;
    const stream = { uniform: () => (++draws * 0.618034) % 1, normal: () => 0 };
    const effect = bitErrors.create({ rate: 1e-4 }, stream) as LineEffect;
    const bytes = new Uint8Array(1_000_000);
    pass(effect, bytes);
    expect(draws).toBe(1 + flipped(bytes, new Uint8Array(bytes.length)).length);
    expect(draws).toBeLessThan(1200);
  });

  it.each([0, -0.1, 1.5, '1e-4'])('refuses a rate of %s', (rate) => {
    expect(bitErrors.settings.safeParse({ rate }).success).toBe(false);
  });
});
