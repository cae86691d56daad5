import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

/** Start bytes of an invented protocol. */
const START = [0xc6, 0x59];
/** Start, length, checksum. */
const FRAME_BYTES = 6;

export const binaryBetween = defineFault({
  name: 'binary-between',
  title:
    'Binary frames come between sentences: two start bytes, length, payload, checksum, of a protocol that is invented.',
  stage: 'byte',
  settings: z.strictObject({
    share: share(0.2),
    size: z.int().min(1).max(4096).default(40).describe('bytes of the payload, any values, $ and line ends among them'),
  }),
  goodHost: 'Finds the sentences amid bytes of any value, and takes none in the payload for one.',
  create: (settings, stream) => ({
    before: () => (stream.uniform() >= settings.share ? null : frameOf(settings.size, () => stream.uniform())),
  }),
});

/**
 * `C6 59`, length of the payload and checksum of 16 bits, low byte first; the checksum is the sum of all bytes between
 * start and checksum.
 */
function frameOf(size: number, uniform: () => number): Uint8Array {
  const frame = new Uint8Array(size + FRAME_BYTES);
  frame.set(START);
  frame[2] = size & 0xff;
  frame[3] = size >> 8;
  let sum = (size & 0xff) + (size >> 8);
  for (let i = 0; i < size; i++) {
    const byte = Math.floor(uniform() * 256);
    frame[4 + i] = byte;
    sum += byte;
  }
  frame[4 + size] = sum & 0xff;
  frame[5 + size] = (sum >> 8) & 0xff;
  return frame;
}
