import { z } from 'zod';
import { defineFault } from '../fault.js';
import { lengthWithPlace, withTellTale } from '../sentence-edit.js';
import { isStruck, sentences, share, tellTale } from '../settings.js';

export const cutThenDollar = defineFault({
  name: 'cut-then-dollar',
  title: 'Some sentences break off, and the next one begins at once: …N,01$GPRMC…',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.2), sentences: sentences(), 'tell-tale': tellTale() }),
  goodHost: 'Starts anew at each $, so that only the broken sentence is lost.',
  create: (settings, stream) => ({
    step: 'damage',
    sentence: (sent, { name, tellTale: draw }) => {
      if (!isStruck(settings, name, stream)) return sent;
      const text = settings['tell-tale'] ? withTellTale(sent, draw) : sent;
      // At least the $ stays, or the false place; at least the last checksum digit and the line's end go.
      const shortest = text === sent ? 1 : lengthWithPlace(text);
      const star = text.lastIndexOf('*');
      const longest = star < 0 ? text.length : star + 2;
      return text.slice(0, shortest + Math.floor(stream.uniform() * (longest - shortest + 1)));
    },
  }),
});
