import { z } from 'zod';
import { defineFault } from '../fault.js';

/** Data bits of a byte on the line. */
const DATA_BITS = 8;

export const bitErrors = defineFault({
  name: 'bit-errors',
  title: 'Single bits flip on the line. Data bits only: start and stop bits arrive as sent, so no byte is lost.',
  stage: 'byte',
  settings: z.strictObject({
    rate: z.number().gt(0).max(1).default(1e-4).describe('probability that a data bit is flipped, up to 1'),
  }),
  goodHost: 'Discards every sentence with a wrong checksum, however plausible its digits are.',
  create: ({ rate }, stream) => {
    const logKept = Math.log1p(-rate);
    // The number of bits up to the next flipped one is geometrically distributed: one draw a flip, not one a bit.
    const gap = () => Math.floor(Math.log(1 - stream.uniform()) / logKept);
    let left = gap();
    return {
      pass: (bytes, from, to) => {
        const bits = (to - from) * DATA_BITS;
        let at = left;
        while (at < bits) {
          const place = from + Math.floor(at / DATA_BITS);
          bytes[place] = (bytes[place] as number) ^ (1 << (at % DATA_BITS));
          at += 1 + gap();
        }
        left = at - bits;
        return true;
      },
    };
  },
});
