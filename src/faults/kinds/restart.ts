import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import { defineFault } from '../fault.js';

/** So much of a sentence goes out at least before power fails in its middle: a byte of the shortest one. */
const LEAST_SHARE = 0.1;

export const restart = defineFault({
  name: 'restart',
  title: 'The module loses power and starts anew: cold, warm or hot, with the banner and the delays that follow.',
  stage: 'receiver',
  settings: z.strictObject({
    start: z.enum(['cold', 'warm', 'hot']).default('cold').describe('what the receiver remembers afterwards'),
    off: quantity('duration', { min: 0, max: 3600 })
      .prefault('1 s')
      .describe('how long the module has no power, where the entry has no for'),
    cut: z
      .enum(['at-once', 'mid-sentence'])
      .default('at-once')
      .describe('power fails at once, or in the middle of the next sentence'),
  }),
  lengthS: ({ off }) => off,
  goodHost: 'Survives the silence and the banner, waits through the search, and sets the module up again.',
  create: ({ start, cut }, stream) => ({
    begin: (module, forS) => {
      const share = LEAST_SHARE + (1 - LEAST_SHARE) * stream.uniform();
      module.restart(start, forS, cut === 'at-once' ? null : share);
    },
  }),
});
