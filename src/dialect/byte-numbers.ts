/** How whole numbers stand in bytes. */
export const NUMBER_TYPES = [
  'u8',
  'u16le',
  'u16be',
  'u32le',
  'u32be',
  'i8',
  'i16le',
  'i16be',
  'i32le',
  'i32be',
] as const;
export type NumberType = (typeof NUMBER_TYPES)[number];
export type ByteOrder = 'little' | 'big';

/** Bytes that a type takes. */
export function sizeOf(type: NumberType): number {
  return Number(/\d+/.exec(type)?.[0]) / 8;
}

/** Reads a whole number of 1 to 4 bytes without a sign. */
export function readUnsigned(bytes: Uint8Array, at: number, size: number, order: ByteOrder): number {
  let value = 0;
  for (let i = 0; i < size; i++) value = value * 256 + (bytes[order === 'big' ? at + i : at + size - 1 - i] as number);
  return value;
}

/** Writes the lowest `size` bytes of a whole number. */
export function writeNumber(bytes: Uint8Array, at: number, size: number, order: ByteOrder, value: number): void {
  for (let i = 0; i < size; i++) {
    bytes[order === 'little' ? at + i : at + size - 1 - i] = Math.floor(value / 256 ** i) & 0xff;
  }
}

export function readNumber(bytes: Uint8Array, at: number, type: NumberType): number {
  const size = sizeOf(type);
  const value = readUnsigned(bytes, at, size, orderOf(type));
  return type.startsWith('i') && value >= 2 ** (8 * size - 1) ? value - 2 ** (8 * size) : value;
}

export function orderOf(type: NumberType): ByteOrder {
  return type.endsWith('be') ? 'big' : 'little';
}
