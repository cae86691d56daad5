import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import * as zlib from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Checksum, checksumOf, NAMED_CRCS, SUM_RULES } from '../../src/dialect/checksums.js';
import { type Crc, crcOf } from '../../src/dialect/crc.js';
import { ascii, crcByDivision, hex } from './helper.js';

const of = (rule: Checksum, bytes: Uint8Array) => checksumOf(rule, bytes, 0, bytes.length);
const CHECK = ascii('123456789');

const crc = (width: Crc['width'], polynomial: number, more: Partial<Crc> = {}): Crc => {
  return { width, polynomial, init: 0, reflectedIn: false, reflectedOut: false, xor: 0, ...more };
};
const BOTH = { reflectedIn: true, reflectedOut: true };

describe('a CRC of 123456789 is the published check value (CRC catalogue, and what it names; from memory)', () => {
  const named = NAMED_CRCS;
  it.each<[string, Crc, number]>([
    ['CRC-8/SMBUS', named['crc-8'], 0xf4],
    ['CRC-8/I-432-1: ITU-T I.432.1, header error control', crc(8, 0x07, { xor: 0x55 }), 0xa1],
    ['CRC-8/MAXIM-DOW', crc(8, 0x31, BOTH), 0xa1],
    ['CRC-16/IBM-3740, also called CCITT-FALSE', named['crc-16'], 0x29b1],
    ['CRC-16/XMODEM: ITU-T V.41, most significant bit first', crc(16, 0x1021), 0x31c3],
    ['CRC-16/KERMIT: ITU-T V.41, least significant bit first', named['crc-16-kermit'], 0x2189],
    ['CRC-16/IBM-SDLC: ITU-T X.25 and V.42, ISO/IEC 13239', named['crc-16-x25'], 0x906e],
    ['CRC-16/GENIBUS', crc(16, 0x1021, { init: 0xffff, xor: 0xffff }), 0xd64e],
    ['CRC-16/SPI-FUJITSU, also called AUG-CCITT', crc(16, 0x1021, { init: 0x1d0f }), 0xe5cc],
    ['CRC-16/MODBUS', named['crc-16-modbus'], 0x4b37],
    ['CRC-16/ARC', crc(16, 0x8005, BOTH), 0xbb3d],
    ['CRC-16/USB', crc(16, 0x8005, { ...BOTH, init: 0xffff, xor: 0xffff }), 0xb4c8],
    ['CRC-24/LTE-A: CRC-24Q of RTCM 10403', named['crc-24q'], 0xcde703],
    ['CRC-24/OPENPGP: RFC 4880, section 6.1', crc(24, 0x864cfb, { init: 0xb704ce }), 0x21cf02],
    ['CRC-24/BLE', crc(24, 0x00065b, { ...BOTH, init: 0x555555 }), 0xc25a56],
    ['CRC-32/ISO-HDLC: IEEE 802.3, ITU-T V.42', named['crc-32'], 0xcbf43926],
    ['CRC-32/ISCSI: Castagnoli, RFC 3720', named['crc-32c'], 0xe3069283],
    ['CRC-32/BZIP2', crc(32, 0x04c11db7, { init: 0xffffffff, xor: 0xffffffff }), 0xfc891918],
    ['CRC-32/MPEG-2: ISO/IEC 13818-1', crc(32, 0x04c11db7, { init: 0xffffffff }), 0x0376e6e7],
  ])('%s', (_, rule, value) => {
    expect(of(rule, CHECK).toString(16)).toBe(value.toString(16));
  });
});

describe('a CRC of any bytes is what an independent computation gives', () => {
  const samples = fc.sample(fc.uint8Array({ maxLength: 60 }), { numRuns: 200, seed: 1 });

  it.skipIf(!existsSync('/usr/bin/python3'))("binascii.crc32 and crc_hqx of Python's standard library", () => {
    const script =
      'import binascii,sys\nfor l in sys.stdin:\n b=bytes.fromhex(l)\n print(binascii.crc32(b),binascii.crc_hqx(b,0x1d0f))';
    const input = samples.map((bytes) => `${Buffer.from(bytes).toString('hex')}\n`).join('');
    const rows = execFileSync('/usr/bin/python3', ['-c', script], { input, encoding: 'utf8' }).trimEnd().split('\n');
    const ours = samples.map((bytes) => {
      return `${of(NAMED_CRCS['crc-32'], bytes)} ${of({ ...NAMED_CRCS['crc-16'], init: 0x1d0f }, bytes)}`;
    });
    expect(ours).toEqual(rows);
  });

  it.skipIf(!('crc32' in zlib))('crc32 of zlib, where this Node has it', () => {
    const { crc32 } = zlib as unknown as { crc32(bytes: Uint8Array): number };
    for (const bytes of samples) expect(of(NAMED_CRCS['crc-32'], bytes)).toBe(crc32(bytes));
  });

  it('long division, of every width', () => {
    const width = fc.constantFrom(8, 16, 24, 32) as fc.Arbitrary<Crc['width']>;
    const value = fc.integer({ min: 0, max: 0xffffffff });
    const turn = (number: number, bits: number) =>
      Number.parseInt([...number.toString(2).padStart(bits, '0')].reverse().join(''), 2);
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 40 }),
        fc.tuple(width, value, value, value, fc.boolean(), fc.boolean()),
        (bytes, [bits, a, b, c, reflectedIn, reflectedOut]) => {
          const [polynomial, init, xor] = [a, b, c].map((each) => each % 2 ** bits) as [number, number, number];
          const read = reflectedIn ? bytes.map((byte) => turn(byte, 8)) : bytes;
          const rest = crcByDivision(read, bits, polynomial, init);
          const expected = ((reflectedOut ? turn(rest, bits) : rest) ^ xor) >>> 0;
          const rule = { width: bits, polynomial, init, reflectedIn, reflectedOut, xor };
          expect(crcOf(rule, bytes, 0, bytes.length)).toBe(expected);
        },
      ),
    );
  });
});

describe('checksums of frames', () => {
  it('crc-24q of the example of an RTCM 10403 message 1005 (from memory) is what stands at its end', () => {
    const message = hex('D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98');
    expect(of(NAMED_CRCS['crc-24q'], message.subarray(0, -3))).toBe(0x360b98);
    expect(of(NAMED_CRCS['crc-24q'], message)).toBe(0);
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

  it('every rule but none notices any one byte that is changed', () => {
    // The sum modulo 255 takes 00 and FF for the same, which ones' complement does.
    const isSame = (name: string, a: number, b: number) => name.endsWith('mod-255') && (a - b) % 255 === 0;
    const rules: (readonly [string, Checksum])[] = [
      ...SUM_RULES.map((rule) => [rule, rule] as const),
      ...Object.entries(NAMED_CRCS),
    ];
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 1, maxLength: 30 }),
        fc.nat(),
        fc.integer({ min: 1, max: 255 }),
        (b, at, x) => {
          const place = at % b.length;
          const changed = b.slice();
          changed[place] = (b[place] as number) ^ x;
          for (const [name, rule] of rules) {
            if (name === 'none' || isSame(name, b[place] as number, changed[place] as number)) continue;
            expect(of(rule, changed), name).not.toBe(of(rule, b));
          }
        },
      ),
    );
  });
});
