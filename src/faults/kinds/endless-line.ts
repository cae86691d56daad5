import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

/** Printable ASCII without what begins a sentence. */
const CHARACTERS = Array.from({ length: 95 }, (_, i) => 0x20 + i).filter((code) => code !== 0x21 && code !== 0x24);

export const endlessLine = defineFault({
  name: 'endless-line',
  title: 'Hundreds of printable characters come without a line end, and the next sentence right behind them.',
  stage: 'byte',
  settings: z.strictObject({
    share: share(0.02),
    size: z.int().min(1).max(65_536).default(600).describe('characters in a row, neither $ nor ! among them'),
  }),
  goodHost: 'Bounds its buffer, gives the line up, and finds the $ behind it.',
  create: (settings, stream) => ({
    before: () => {
      if (stream.uniform() >= settings.share) return null;
      const line = new Uint8Array(settings.size);
      for (let i = 0; i < line.length; i++) {
        line[i] = CHARACTERS[Math.floor(stream.uniform() * CHARACTERS.length)] as number;
      }
      return line;
    },
  }),
});
