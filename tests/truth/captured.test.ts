import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LEAST_PIECE } from '../../src/truth/captured.js';
import { playRun, roof } from '../run/helper.js';
import { proofOf } from './proof-helper.js';

const TIMELINE = [
  { at: '10 s', for: '20 s', fault: 'bad-checksum', with: { share: 0.3 } },
  { at: '15 s', for: '20 s', fault: 'garbage-bytes', with: { share: 0.3 } },
];

describe('what a host captured', async () => {
  const { bytes, lines } = await playRun({ scenario: roof({ timeline: TIMELINE }) });

  /** A stream without some of its bytes. */
  const without = (holes: readonly (readonly [number, number])[]) => {
    const kept: Uint8Array[] = [];
    let at = 0;
    for (const [from, to] of holes) {
      kept.push(bytes.subarray(at, from));
      at = to;
    }
    return Buffer.concat([...kept, bytes.subarray(at)]);
  };

  it('whole is one piece, and nothing is lost', () => {
    const proof = proofOf(lines, bytes, true);
    expect(proof.isProven).toBe(true);
    expect(proof.captured).toEqual({ bytes: bytes.length, pieces: 1, lost: [], lostCount: 0, difference: null });
  });

  it('by a host that opened late and closed early: what is missing at both ends, with its records', () => {
    const [from, to] = [bytes.indexOf('$GPRMC', 5000), bytes.indexOf('$GPRMC', 20_000)];
    const { isProven, captured } = proofOf(lines, bytes.subarray(from, to), true);
    expect(isProven).toBe(true);
    expect(captured).toMatchObject({ bytes: to - from, pieces: 1, lostCount: 2 });
    const [before, after] = captured?.lost ?? [];
    expect(before).toMatchObject({ bytes: from, first: { place: 0 } });
    expect(after).toMatchObject({ bytes: bytes.length - to, first: { place: 0 } });
    expect(lines[(after?.first.line as number) - 1]).toContain('"text":"$GPRMC');
    expect(lines[(before?.last.line as number) - 1]).not.toContain('"text":"$GPRMC');
  });

  it('with a hole in the middle of a sentence: the record and the byte at which it begins', () => {
    const start = bytes.indexOf('$GPGGA', 6000);
    const { captured, isProven } = proofOf(lines, without([[start + 20, start + 900]]), true);
    expect(isProven).toBe(true);
    expect(captured).toMatchObject({ bytes: bytes.length - 880, pieces: 2, lostCount: 1 });
    const [hole] = captured?.lost ?? [];
    expect(hole?.bytes).toBe(880);
    expect(lines[(hole?.first.line as number) - 1]).toContain('"text":"$GPGGA');
    // Where the bytes on both sides of a hole are alike, it may as well begin a little later.
    expect(hole?.first.place).toBeGreaterThanOrEqual(20);
  });

  it('is proven with any holes, and every byte of it is accounted for', () => {
    const hole = fc.tuple(fc.integer({ min: 100, max: 3000 }), fc.integer({ min: 1, max: 3000 }));
    fc.assert(
      fc.property(fc.array(hole, { maxLength: 5 }), fc.integer({ min: 0, max: 4000 }), (gaps, late) => {
        const holes: [number, number][] = [[0, late]];
        let at = late;
        for (const [kept, lost] of gaps) {
          holes.push([at + kept, at + kept + lost]);
          at += kept + lost;
        }
        const stream = without(holes);
        const { isProven, captured, journalBytes } = proofOf(lines, stream, true);
        expect(isProven).toBe(true);
        expect(captured?.bytes).toBe(stream.length);
        expect(captured?.pieces).toBeGreaterThanOrEqual(1);
        const lost = captured?.lost.reduce((sum, each) => sum + each.bytes, 0);
        expect(lost).toBe(journalBytes - stream.length);
      }),
      { numRuns: 60 },
    );
  });

  it('is found at its own place where another one begins alike', () => {
    // Both pieces of a hundred bytes begin like earlier ones, which sentences of GSV repeat.
    const proof = proofOf(
      lines,
      without([
        [100, 2580],
        [2680, 2681],
      ]),
      true,
    );
    expect(proof.isProven).toBe(true);
    expect(proof.captured).toMatchObject({ pieces: 3, lostCount: 2 });
  });

  it('is the same verdict however the files come in pieces', () => {
    const stream = without([
      [300, 1200],
      [9000, 9100],
    ]);
    const whole = proofOf(lines, stream, true);
    for (const most of [1, 61, 5000]) expect(proofOf(lines, stream, true, most)).toEqual(whole);
  });

  it('never holds a byte that the journal does not have', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: bytes.length - 1 }), fc.integer({ min: 128, max: 255 }), (at, change) => {
        const stream = Uint8Array.from(bytes);
        stream[at] = (stream[at] as number) ^ change;
        const proof = proofOf(lines, stream, true);
        expect(proof.isProven).toBe(false);
        // In the first bytes of a piece it makes the piece as a whole foreign.
        expect(proof.captured?.difference?.offset).toBeLessThanOrEqual(at);
      }),
      { numRuns: 60 },
    );
  });

  it('is not proven by pieces that are in another order, or come twice', () => {
    const [a, b, c] = [bytes.subarray(0, 5000), bytes.subarray(5000, 10_000), bytes.subarray(10_000)];
    expect(proofOf(lines, Buffer.concat([b, a, c]), true).isProven).toBe(false);
    expect(proofOf(lines, Buffer.concat([a, b, b, c]), true).isProven).toBe(false);
  });

  it(`is not proven by a piece of fewer than ${LEAST_PIECE} bytes, which could be from anywhere`, () => {
    const proof = proofOf(
      lines,
      without([
        [2000, 5000],
        [5000 + LEAST_PIECE - 1, bytes.length],
      ]),
      true,
    );
    expect(proof.captured).toMatchObject({ bytes: 2000, pieces: 1, difference: { offset: 2000 } });
  });

  it('is nothing where the host got nothing, and proves nothing', () => {
    const { isProven, captured } = proofOf(lines, new Uint8Array(0), true);
    expect(isProven).toBe(false);
    expect(captured).toMatchObject({ bytes: 0, pieces: 0, lostCount: 1 });
    expect(captured?.lost[0]?.bytes).toBe(bytes.length);
  });
});
