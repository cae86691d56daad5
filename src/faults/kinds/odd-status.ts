import { z } from 'zod';
import { defineFault } from '../fault.js';
import { joinSentence, putField, splitSentence } from '../sentence-edit.js';
import { isStruck, sentences, share } from '../settings.js';

export const oddStatus = defineFault({
  name: 'odd-status',
  title: 'The status of RMC and GLL is a letter other than A and V.',
  stage: 'sentence',
  settings: z.strictObject({
    letter: z
      .string()
      .regex(/^[B-UW-Z]$/, { error: 'expected one capital letter other than A and V, such as D' })
      .default('D')
      .describe('what stands for the status: one capital letter other than A and V'),
    share: share(1),
    sentences: sentences(['RMC', 'GLL']),
  }),
  goodHost: 'Neither ends nor takes it for valid by its letter alone: mode and quality tell whether there is a fix.',
  create: (settings, stream) => ({
    sentence: (sent, { name }) => {
      if (!isStruck(settings, name, stream)) return sent;
      const parts = splitSentence(sent);
      return parts !== null && putField(parts.fields, 'status', settings.letter) ? joinSentence(parts) : sent;
    },
  }),
});
