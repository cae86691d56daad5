import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

export const garbageBytes = defineFault({
  name: 'garbage-bytes',
  title: 'Bursts of random 8-bit bytes come between sentences.',
  stage: 'byte',
  settings: z.strictObject({
    share: share(0.2),
    size: z.int().min(1).max(4096).default(12).describe('bytes in a burst'),
  }),
  goodHost: 'Skips to the next $ and never lets a decoding error end the program.',
  create: (settings, stream) => ({
    before: () => {
      if (stream.uniform() >= settings.share) return null;
      return Uint8Array.from({ length: settings.size }, () => Math.floor(stream.uniform() * 256));
    },
  }),
});
