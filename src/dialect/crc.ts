/**
 * A cyclic redundancy check by the parameters of the published model: R. N. Williams, "A painless guide to CRC error
 * detection algorithms", 1993, section 15 (from memory), in which the CRC catalogue lists them too.
 */
export interface Crc {
  /** Bits, a whole number of bytes. */
  readonly width: 8 | 16 | 24 | 32;
  /** Without its highest term; the most significant bit stands for the highest power. */
  readonly polynomial: number;
  /** Start value, in the same order of bits. */
  readonly init: number;
  /** Of each byte the least significant bit comes first. */
  readonly reflectedIn: boolean;
  /** The result's bits are turned about before the last exclusive or. */
  readonly reflectedOut: boolean;
  /** Exclusive or with the result. */
  readonly xor: number;
}

/** The CRC of bytes `from` (included) to `to` (not included), as a number from 0 on. */
export function crcOf(crc: Crc, bytes: Uint8Array, from: number, to: number): number {
  const { width, polynomial, init, reflectedIn, reflectedOut, xor } = crc;
  // The register fills the highest bits of 32, so that every width is shifted alike.
  const unused = 32 - width;
  let register = init << unused;
  for (let i = from; i < to; i++) {
    const byte = bytes[i] as number;
    register ^= (reflectedIn ? reflected(byte, 8) : byte) << 24;
    for (let bit = 0; bit < 8; bit++) {
      register = register < 0 ? (register << 1) ^ (polynomial << unused) : register << 1;
    }
  }
  const result = register >>> unused;
  return ((reflectedOut ? reflected(result, width) : result) ^ xor) >>> 0;
}

/** So many bits, the lowest of them first. */
function reflected(value: number, bits: number): number {
  let turned = 0;
  for (let bit = 0; bit < bits; bit++) turned = (turned << 1) | ((value >>> bit) & 1);
  return turned >>> 0;
}
