import { z } from 'zod';
import { defineFault } from '../fault.js';
import { splitSentence, withTellTale } from '../sentence-edit.js';
import { isStruck, sentences, share, tellTale } from '../settings.js';

const FORMS = ['lowercase', 'missing', 'half', 'star-only'] as const;

/** A whole checksum at the end of a sentence. */
const CHECKSUM = /\*[0-9A-F]{2}(?=[\r\n$]|$)/g;

export const checksumForm = defineFault({
  name: 'checksum-form',
  title: 'Checksums are written in lower case, or are not there as a whole: *4e, *4, * or nothing.',
  stage: 'sentence',
  settings: z
    .strictObject({
      form: z
        .enum(FORMS)
        .default('lowercase')
        .describe('lowercase: *4e; missing: no *hh at all; half: only one digit; star-only: no digit'),
      share: share(1),
      sentences: sentences(),
      'tell-tale': tellTale(),
    })
    .refine((settings) => !(settings.form === 'lowercase' && settings['tell-tale']), {
      path: ['tell-tale'],
      error: 'expected false with form lowercase: its checksum is right, and a host may use what it checks',
    }),
  goodHost: 'Takes lower case as it takes upper case, and does not trust a position whose checksum is not whole.',
  create: (settings, stream) => ({
    step: settings.form === 'lowercase' ? 'form' : 'damage',
    sentence: (sent, { name, tellTale: draw }) => {
      if (!isStruck(settings, name, stream)) return sent;
      // Whether it is right or not: what another fault has spoilt stays so.
      if (settings.form === 'lowercase') return sent.replace(CHECKSUM, (sum) => sum.toLowerCase());
      const parts = splitSentence(sent);
      if (parts === null) return sent;
      const text = settings['tell-tale'] ? withTellTale(sent, draw) : sent;
      const star = text.lastIndexOf('*');
      return text.slice(0, star) + leftOf(text.slice(star, star + 3), settings.form) + parts.end;
    },
  }),
});

/** What is left of a checksum. @param sum `*hh` */
function leftOf(sum: string, form: (typeof FORMS)[number]): string {
  if (form === 'half') return sum.slice(0, 2);
  return form === 'star-only' ? '*' : '';
}
