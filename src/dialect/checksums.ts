/**
 * Checksums of binary frames. The sums and the exclusive or need no source. `fletcher-8`: two bytes, A += byte, B += A,
 * modulo 256, A first; the 8-bit algorithm of RFC 1145 and 1146 (Zweig and Partridge, 1990) keeps A and B in ones'
 * complement instead, which is modulo 255: `fletcher-8-mod-255`. `crc-16`: polynomial 1021 of ITU-T V.41, most
 * significant bit first, nothing inverted, the start value as set (the CRC catalogue's XMODEM with 0, IBM-3740 with
 * FFFF). `crc-24q`: polynomial 1864CFB, start value 0, as RTCM 10403 has it (the catalogue's CRC-24/LTE-A).
 */
export const CHECKSUM_RULES = [
  'none',
  'xor-8',
  'sum-8',
  'sum-16',
  'fletcher-8',
  'fletcher-8-mod-255',
  'crc-16',
  'crc-24q',
] as const;
export type ChecksumRule = (typeof CHECKSUM_RULES)[number];

/** Bytes that each takes in a frame. */
export const CHECKSUM_BYTES: Readonly<Record<ChecksumRule, number>> = {
  none: 0,
  'xor-8': 1,
  'sum-8': 1,
  'sum-16': 2,
  'fletcher-8': 2,
  'fletcher-8-mod-255': 2,
  'crc-16': 2,
  'crc-24q': 3,
};

const CRC_16 = crcTable(16, 0x1021);
const CRC_24Q = crcTable(24, 0x864cfb);

/**
 * The checksum of bytes `from` (included) to `to` (not included), as a number; A of a Fletcher sum is its high byte.
 * @param init start value of `crc-16`, 0 to 65535
 */
export function checksumOf(rule: ChecksumRule, bytes: Uint8Array, from: number, to: number, init: number): number {
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
    case 'crc-16': {
      let crc = init;
      for (let i = from; i < to; i++) {
        crc = ((crc << 8) & 0xffff) ^ (CRC_16[(crc >> 8) ^ (bytes[i] as number)] as number);
      }
      return crc;
    }
    case 'crc-24q': {
      let crc = 0;
      for (let i = from; i < to; i++) {
        crc = ((crc << 8) & 0xffffff) ^ (CRC_24Q[(crc >> 16) ^ (bytes[i] as number)] as number);
      }
      return crc;
    }
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

/** What each value of the highest byte comes to, most significant bit first. */
function crcTable(bits: number, polynomial: number): Uint32Array {
  const highest = 1 << (bits - 1);
  const mask = highest * 2 - 1;
  return Uint32Array.from({ length: 256 }, (_, byte) => {
    let crc = byte << (bits - 8);
    for (let bit = 0; bit < 8; bit++) crc = crc & highest ? ((crc << 1) ^ polynomial) & mask : (crc << 1) & mask;
    return crc;
  });
}
