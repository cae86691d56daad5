import { z } from 'zod';
import type { Stream } from '../../base/random.js';
import { defineFault } from '../fault.js';
import { joinSentence, splitSentence } from '../sentence-edit.js';
import { isStruck, sentences, share } from '../settings.js';

export const alteredDigits = defineFault({
  name: 'altered-digits',
  title: 'Some digits of some sentences are others, and the checksum matches what is sent.',
  stage: 'sentence',
  settings: z.strictObject({
    share: share(0.1),
    sentences: sentences(),
    count: z.int().min(1).max(80).default(1).describe('how many digits of a struck sentence are others, at most all'),
  }),
  goodHost: 'Cannot tell by the checksum: holds values against their ranges, and jumps against what came before.',
  create: (settings, stream) => ({
    sentence: (sent, { name }) => {
      if (!isStruck(settings, name, stream)) return sent;
      const parts = splitSentence(sent);
      if (parts === null) return sent;
      const { fields } = parts;
      const [kind, ...rest] = fields;
      const altered = alter(rest.join(','), settings.count, stream);
      return joinSentence({ ...parts, fields: [kind as string, ...altered.split(',')] });
    },
  }),
});

/** A text with `count` of its digits, all equally likely, each replaced by another one. */
function alter(text: string, count: number, stream: Stream): string {
  const characters = [...text];
  const places = characters.flatMap((character, place) => (/\d/.test(character) ? [place] : []));
  for (let i = 0; i < count && places.length > 0; i++) {
    const [place] = places.splice(Math.floor(stream.uniform() * places.length), 1) as [number];
    const more = 1 + Math.floor(stream.uniform() * 9);
    characters[place] = String((Number(characters[place]) + more) % 10);
  }
  return characters.join('');
}
