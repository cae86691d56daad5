import { z } from 'zod';
import { defineFault } from '../fault.js';
import { isStruck, sentences, share } from '../settings.js';

export const lostSentence = defineFault({
  name: 'lost-sentence',
  title: 'Some sentences are never sent: a part of GSV, or a kind altogether.',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.3), sentences: sentences() }),
  goodHost: 'Goes on with the sentences that come, and shows no list of satellites that lacks a part as whole.',
  create: (settings, stream) => ({
    sentence: (sent, { name }) => (isStruck(settings, name, stream) ? '' : sent),
  }),
});
