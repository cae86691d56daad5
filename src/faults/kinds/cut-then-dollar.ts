import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

export const cutThenDollar = defineFault({
  name: 'cut-then-dollar',
  title: 'Some sentences break off, and the next one begins at once: …N,01$GPRMC…',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.2) }),
  goodHost: 'Starts anew at each $, so that only the broken sentence is lost.',
  create: (settings, stream) => ({
    sentence: (sent) => {
      if (stream.uniform() >= settings.share) return sent;
      // At least the $ stays, at least the last checksum digit and the line's end go.
      const star = sent.lastIndexOf('*');
      const longest = star < 0 ? sent.length : star + 2;
      return sent.slice(0, 1 + Math.floor(stream.uniform() * longest));
    },
  }),
});
