import { type Crc, crcOf } from './crc.js';

/**
 * Checksums of binary frames that are no CRC. The sums and the exclusive or need no source. `fletcher-8`: two bytes,
 * A += byte, B += A, modulo 256, A first; the 8-bit algorithm of RFC 1145 and 1146 (Zweig and Partridge, 1990) keeps A
 * and B in ones' complement instead, which is modulo 255: `fletcher-8-mod-255`.
 */
export const SUM_RULES = ['none', 'xor-8', 'sum-8', 'sum-16', 'fletcher-8', 'fletcher-8-mod-255'] as const;
type SumRule = (typeof SUM_RULES)[number];

const plain = { init: 0, reflectedIn: false, reflectedOut: false, xor: 0 } as const;
const turned = { init: 0xffff, reflectedIn: true, reflectedOut: true, xor: 0 } as const;

/**
 * CRCs with a name of their own; any other is given by its parameters. `crc-16`, its start value often another one, and
 * `crc-16-kermit`: the polynomial of ITU-T V.41, most and least significant bit first. `crc-16-x25`: ITU-T X.25 and
 * V.42, ISO/IEC 13239. `crc-16-modbus`: polynomial 8005, as serial buses have it. `crc-24q`: RTCM 10403. `crc-32`: IEEE
 * 802.3 and ITU-T V.42. `crc-32c`: Castagnoli's, RFC 3720, appendix B.4. All parameters from memory, held by the tests
 * against published check values.
 */
export const NAMED_CRCS = {
  'crc-8': { width: 8, polynomial: 0x07, ...plain },
  'crc-16': { width: 16, polynomial: 0x1021, ...plain, init: 0xffff },
  'crc-16-kermit': { width: 16, polynomial: 0x1021, ...turned, init: 0 },
  'crc-16-x25': { width: 16, polynomial: 0x1021, ...turned, xor: 0xffff },
  'crc-16-modbus': { width: 16, polynomial: 0x8005, ...turned },
  'crc-24q': { width: 24, polynomial: 0x864cfb, ...plain },
  'crc-32': { width: 32, polynomial: 0x04c11db7, ...turned, init: 0xffffffff, xor: 0xffffffff },
  'crc-32c': { width: 32, polynomial: 0x1edc6f41, ...turned, init: 0xffffffff, xor: 0xffffffff },
} as const satisfies Readonly<Record<string, Crc>>;

/** What a frame's checksum may be. */
export type Checksum = SumRule | Crc;

const SUM_BYTES: Readonly<Record<SumRule, number>> = {
  none: 0,
  'xor-8': 1,
  'sum-8': 1,
  'sum-16': 2,
  'fletcher-8': 2,
  'fletcher-8-mod-255': 2,
};

/** Bytes that it takes in a frame. */
export function checksumBytes(rule: Checksum): number {
  return typeof rule === 'string' ? SUM_BYTES[rule] : rule.width / 8;
}

/**
 * The checksum of bytes `from` (included) to `to` (not included), as a number from 0 on; A of a Fletcher sum is its
 * high byte.
 */
export function checksumOf(rule: Checksum, bytes: Uint8Array, from: number, to: number): number {
  if (typeof rule !== 'string') return crcOf(rule, bytes, from, to);
  switch (rule) {
    case 'none':
      return 0;
    case 'xor-8': {
      let sum = 0;
      for (let i = from; i < to; i++) sum ^= bytes[i] as number;
      return sum;
    }
    case 'sum-8':
      return sumOf(bytes, from, to) & 0xff;
    case 'sum-16':
      return sumOf(bytes, from, to) & 0xffff;
    case 'fletcher-8':
      return fletcher(bytes, from, to, 256);
    case 'fletcher-8-mod-255':
      return fletcher(bytes, from, to, 255);
  }
}

function sumOf(bytes: Uint8Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += bytes[i] as number;
  return sum;
}

function fletcher(bytes: Uint8Array, from: number, to: number, modulus: number): number {
  let a = 0;
  let b = 0;
  for (let i = from; i < to; i++) {
    a = (a + (bytes[i] as number)) % modulus;
    b = (b + a) % modulus;
  }
  return (a << 8) | b;
}
