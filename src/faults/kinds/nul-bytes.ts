import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

export const nulBytes = defineFault({
  name: 'nul-bytes',
  title: 'NUL bytes come before the $ of some sentences.',
  stage: 'byte',
  settings: z.strictObject({
    share: share(0.2),
    size: z.int().min(1).max(4096).default(1).describe('how many before each'),
  }),
  goodHost: 'Skips to the $: neither refuses the sentence nor takes the NUL for the end of a text.',
  create: (settings, stream) => ({
    before: () => (stream.uniform() >= settings.share ? null : new Uint8Array(settings.size)),
  }),
});
