import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

export const hostOverrun = defineFault({
  name: 'host-overrun',
  title: 'The host’s UART overruns: a few bytes in a row are missing here and there, line ends among them.',
  stage: 'byte',
  settings: z.strictObject({
    share: share(0.1),
    size: z
      .int()
      .min(1)
      .max(4096)
      .default(16)
      .describe('bytes that are missing in a row: from 1 to so many, by chance'),
  }),
  goodHost: 'Discards by the checksum what is left of the sentence, and starts anew at the next $.',
  create: (settings, stream) => ({
    pass: (_bytes, from, to) => {
      if (stream.uniform() >= settings.share) return true;
      const count = Math.min(to - from, 1 + Math.floor(stream.uniform() * settings.size));
      const first = from + Math.floor(stream.uniform() * (to - from - count + 1));
      return Array.from({ length: count }, (_, i) => first + i);
    },
  }),
});
