import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CHECKSUM_RULES, type ChecksumRule, checksumOf } from '../../src/dialect/checksums.js';
import { ascii, crcByDivision, hex } from './helper.js';

const of = (rule: ChecksumRule, bytes: Uint8Array, init = 0) => checksumOf(rule, bytes, 0, bytes.length, init);
const CHECK = ascii('123456789');

describe('checksums of frames', () => {
  it.each([
    ['crc-16', 0x0000, 0x31c3, 'CRC-16/XMODEM'],
    ['crc-16', 0xffff, 0x29b1, 'CRC-16/IBM-3740, also called CCITT-FALSE'],
    ['crc-16', 0x1d0f, 0xe5cc, 'CRC-16/SPI-FUJITSU, also called AUG-CCITT'],
    ['crc-24q', 0, 0xcde703, 'CRC-24/LTE-A, the same as CRC-24Q'],
  ] as const)(
    '%s with start value %i gives the check value %i of the CRC catalogue: %3$s',
    (rule, init, value, _name) => {
      expect(of(rule, CHECK, init)).toBe(value);
    },
  );

  it('crc-24q of the example of an RTCM 10403 message 1005 (from memory) is what stands at its end', () => {
    const message = hex('D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98');
    expect(of('crc-24q', message.subarray(0, -3))).toBe(0x360b98);
    expect(of('crc-24q', message)).toBe(0);
  });

  // Known sums of Fletcher's checksum with modulus 255, B before A (encyclopaedia, from memory).
  it.each([
    ['abcde', 0xc8f0],
    ['abcdef', 0x2057],
    ['abcdefgh', 0x0627],
  ])('fletcher-8-mod-255 of %s: the known sums, A first', (text, bThenA) => {
    const sum = of('fletcher-8-mod-255', ascii(text));
    expect(((sum & 0xff) << 8) | (sum >> 8)).toBe(bThenA);
  });

  it('fletcher-8 by hand: A is the sum, B the sum of the sums, modulo 256', () => {
    // A: 200, 44, 45; B: 200, 244, 33.
    expect(of('fletcher-8', Uint8Array.of(200, 100, 1))).toBe((45 << 8) | 33);
  });

  it('sums and exclusive or, by hand', () => {
    const bytes = Uint8Array.of(0xff, 0xff, 0x03);
    expect(of('xor-8', bytes)).toBe(0x03);
    expect(of('sum-8', bytes)).toBe(0x01);
    expect(of('sum-16', bytes)).toBe(0x0201);
    expect(of('none', bytes)).toBe(0);
  });

  it('crc-16 and crc-24q are what long division gives, for any bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 40 }), fc.integer({ min: 0, max: 0xffff }), (bytes, init) => {
        expect(of('crc-16', bytes, init)).toBe(crcByDivision(bytes, 16, 0x1021, init));
        expect(of('crc-24q', bytes)).toBe(crcByDivision(bytes, 24, 0x864cfb, 0));
      }),
    );
  });

  it('every rule but none notices any one byte that is changed', () => {
    // The sum modulo 255 takes 00 and FF for the same, which ones' complement does.
    const isSame = (rule: ChecksumRule, a: number, b: number) => rule.endsWith('mod-255') && (a - b) % 255 === 0;
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 1, maxLength: 30 }),
        fc.nat(),
        fc.integer({ min: 1, max: 255 }),
        (b, at, x) => {
          const place = at % b.length;
          const changed = b.slice();
          changed[place] = (b[place] as number) ^ x;
          for (const rule of CHECKSUM_RULES) {
            if (rule === 'none' || isSame(rule, b[place] as number, changed[place] as number)) continue;
            expect(of(rule, changed), rule).not.toBe(of(rule, b));
          }
        },
      ),
    );
  });
});
