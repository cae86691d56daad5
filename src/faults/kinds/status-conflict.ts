import { z } from 'zod';
import { defineFault } from '../fault.js';
import { joinSentence, placesOf, putField, splitSentence } from '../sentence-edit.js';
import { isOfSentences, sentences, share } from '../settings.js';

export const statusConflict = defineFault({
  name: 'status-conflict',
  title: 'Sentences of an epoch disagree about the fix: some say valid without one, or void with one.',
  stage: 'sentence',
  settings: z.strictObject({
    says: z
      .enum(['valid-without-fix', 'void-with-fix'])
      .default('void-with-fix')
      .describe('what status, mode, quality and fix type of the chosen sentences say against the others'),
    used: z
      .int()
      .min(0)
      .max(99)
      .default(0)
      .describe('satellites used that GGA and GNS count while there is no fix, chosen or not; 0: as they are'),
    share: share(1),
    sentences: sentences(['RMC']),
  }),
  goodHost: 'Trusts a position only if no sentence of its epoch says that there is none.',
  create: (settings, stream) => ({
    sentence: (sent, { name, report }) => {
      if (report === null) return sent;
      const hasFix = report.fix !== 'none';
      const isChosen = isOfSentences(name, settings.sentences) && hasFix === (settings.says === 'void-with-fix');
      const isCounted = settings.used > 0 && !hasFix && (name === 'GGA' || name === 'GNS');
      if (!(isChosen || isCounted) || stream.uniform() >= settings.share) return sent;
      const parts = splitSentence(sent);
      if (parts === null) return sent;
      const { fields } = parts;
      if (isChosen) contradict(fields, !hasFix);
      if (isCounted) putField(fields, 'used', String(settings.used).padStart(2, '0'));
      return joinSentence(parts);
    },
  }),
});

function contradict(fields: string[], isValid: boolean): void {
  putField(fields, 'status', isValid ? 'A' : 'V');
  putField(fields, 'mode', isValid ? 'A' : 'N');
  putField(fields, 'quality', isValid ? '1' : '0');
  putField(fields, 'fix', isValid ? '3' : '1');
  const [modes] = placesOf(fields, 'modes');
  if (modes === undefined) return;
  const { length } = fields[modes] as string;
  fields[modes] = isValid ? 'A'.padEnd(length, 'N') : 'N'.repeat(length);
}
