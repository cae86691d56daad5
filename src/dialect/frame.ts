import { type ByteOrder, readUnsigned, writeNumber } from './byte-numbers.js';
import { type Checksum, checksumBytes, checksumOf } from './checksums.js';

/**
 * What a frame's length counts: `payload`, what stands between it and the checksum; `body`, that and the header before
 * it; `payload-and-checksum`; `rest`, all that follows it; `frame`, everything.
 */
export const LENGTH_COUNTS = ['payload', 'body', 'payload-and-checksum', 'rest', 'frame'] as const;

/** How binary frames are built: start bytes, header, length, payload, checksum, end bytes. */
export interface FrameFormat {
  readonly name: string;
  readonly start: Uint8Array;
  readonly length: {
    /** Bytes from the frame's first to the length's; what stands between the start and it is the header. */
    readonly at: number;
    readonly bytes: 1 | 2 | 4;
    readonly order: ByteOrder;
    readonly counts: (typeof LENGTH_COUNTS)[number];
  };
  /** Of the whole frame, bytes. */
  readonly longest: number;
  readonly checksum: {
    readonly rule: Checksum;
    /** From this byte of the frame on, 0 the first, up to the checksum. */
    readonly from: number;
    readonly order: ByteOrder;
  };
  readonly end: Uint8Array;
}

/** Bytes of a frame that stand around its header and payload. */
export function overheadOf({ start, length, checksum, end }: FrameFormat): number {
  return start.length + length.bytes + checksumBytes(checksum.rule) + end.length;
}

/** Bytes of the header, between start and length. */
function headerOf({ start, length }: FrameFormat): number {
  return length.at - start.length;
}

/** What the length does not count of a frame, bytes; the rest it does. */
function uncountedOf(format: FrameFormat): number {
  const { start, length, checksum, end } = format;
  const before = length.at + length.bytes;
  const sumBytes = checksumBytes(checksum.rule);
  switch (length.counts) {
    case 'payload':
      return before + sumBytes + end.length;
    case 'body':
      return start.length + length.bytes + sumBytes + end.length;
    case 'payload-and-checksum':
      return before + end.length;
    case 'rest':
      return before;
    case 'frame':
      return 0;
  }
}

/**
 * How many bytes the frame has that begins at `from`.
 * @returns 0: not enough has come to say it, or to have it whole; -1: none begins there
 */
export function sizeAt(format: FrameFormat, buffer: Uint8Array, from: number, to: number): number {
  const { start, length, longest, end } = format;
  const known = Math.min(start.length, to - from);
  for (let i = 0; i < known; i++) if (buffer[from + i] !== start[i]) return -1;
  if (to - from < length.at + length.bytes) return 0;
  const size = uncountedOf(format) + readUnsigned(buffer, from + length.at, length.bytes, length.order);
  if (size > longest || size < overheadOf(format) + headerOf(format)) return -1;
  if (to - from < size) return 0;
  for (let i = 0; i < end.length; i++) if (buffer[from + size - end.length + i] !== end[i]) return -1;
  return size;
}

/** Whether the checksum of a whole frame is right. */
export function isRight(format: FrameFormat, buffer: Uint8Array, from: number, size: number): boolean {
  const { rule, from: first, order } = format.checksum;
  const bytes = checksumBytes(rule);
  const at = from + size - format.end.length - bytes;
  return readUnsigned(buffer, at, bytes, order) === checksumOf(rule, buffer, from + first, at);
}

/** A whole frame's body: its header and its payload, without start, length, checksum and end. */
export function bodyOf(format: FrameFormat, buffer: Uint8Array, from: number, size: number): Uint8Array {
  const header = headerOf(format);
  const body = new Uint8Array(size - overheadOf(format));
  const at = from + format.start.length;
  body.set(buffer.subarray(at, at + header));
  const payload = from + format.length.at + format.length.bytes;
  body.set(buffer.subarray(payload, payload + body.length - header), header);
  return body;
}

/** A frame from its body; null where it would be too long or too short. */
export function buildFrame(format: FrameFormat, body: Uint8Array): Uint8Array | null {
  const { start, length, longest, checksum, end } = format;
  const header = headerOf(format);
  const size = body.length + overheadOf(format);
  const counted = size - uncountedOf(format);
  if (size > longest || body.length < header || counted >= 256 ** length.bytes) return null;
  const frame = new Uint8Array(size);
  frame.set(start);
  frame.set(body.subarray(0, header), start.length);
  writeNumber(frame, length.at, length.bytes, length.order, counted);
  frame.set(body.subarray(header), length.at + length.bytes);
  const bytes = checksumBytes(checksum.rule);
  const at = size - end.length - bytes;
  const sum = checksumOf(checksum.rule, frame, checksum.from, at);
  writeNumber(frame, at, bytes, checksum.order, sum);
  frame.set(end, size - end.length);
  return frame;
}
