import { z } from 'zod';
import { defineFault } from '../fault.js';
import { joinSentence, putField, splitSentence } from '../sentence-edit.js';
import { isStruck, sentences, share } from '../settings.js';

const FIELDS = ['altitude', 'separation', 'course', 'speed', 'time', 'date', 'cn0', 'variation'] as const;

export const blankFields = defineFault({
  name: 'blank-fields',
  title: 'Fields that the module knows stay blank: height, course, speed, time, date, C/N0 or variation.',
  stage: 'sentence',
  settings: z.strictObject({
    which: z
      .array(z.enum(FIELDS))
      .min(1)
      .default(['course'])
      .describe('a list of altitude, separation, course, speed, time, date, cn0, variation; units stay'),
    share: share(1),
    sentences: sentences(),
  }),
  goodHost: 'Takes a blank field for not known, neither for 0 nor for what it was, and uses the others.',
  create: (settings, stream) => ({
    sentence: (sent, { name }) => {
      if (!isStruck(settings, name, stream)) return sent;
      const parts = splitSentence(sent);
      if (parts === null) return sent;
      let hasChanged = false;
      for (const which of settings.which) hasChanged = putField(parts.fields, which, '') || hasChanged;
      return hasChanged ? joinSentence(parts) : sent;
    },
  }),
});
