import { z } from 'zod';
import { defineFault } from '../fault.js';
import { isStruck, sentences, share } from '../settings.js';

const ENDINGS = { cr: '\r', lf: '\n', none: '', doubled: '\r\n\r\n', 'lf-cr': '\n\r' } as const;

export const lineEnding = defineFault({
  name: 'line-ending',
  title: 'Sentences do not end with CR LF but with one of them alone, neither, both twice, or LF CR.',
  stage: 'sentence',
  settings: z.strictObject({
    ending: z
      .enum(['cr', 'lf', 'none', 'doubled', 'lf-cr'])
      .default('lf')
      .describe(
        'cr: CR alone; lf: LF alone; none: the next sentence follows at once; doubled: CR LF CR LF; lf-cr: LF CR',
      ),
    share: share(1),
    sentences: sentences(),
  }),
  goodHost: 'Takes CR, LF, an empty line or the next $ as the end of a sentence, and loses none.',
  create: (settings, stream) => ({
    step: 'form',
    sentence: (sent, { name }) => {
      if (!isStruck(settings, name, stream)) return sent;
      // What another fault has cut short has no end to alter.
      return sent.replace(/[\r\n]+(?=\$|$)/g, ENDINGS[settings.ending]);
    },
  }),
});
