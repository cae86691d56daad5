import { z } from 'zod';
import { checksum } from '../../emit/sentences/checksum.js';
import { defineFault } from '../fault.js';
import { withTellTale } from '../sentence-edit.js';
import { isStruck, sentences, share, tellTale } from '../settings.js';

const HEX = '0123456789ABCDEF';

export const badChecksum = defineFault({
  name: 'bad-checksum',
  title: 'Some sentences carry a wrong checksum; their content is as meant, or a false place.',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.25), sentences: sentences(), 'tell-tale': tellTale() }),
  goodHost: 'Discards the sentence and uses the next one.',
  create: (settings, stream) => ({
    step: 'damage',
    sentence: (sent, { name, tellTale: draw }) => {
      if (!isStruck(settings, name, stream)) return sent;
      const text = settings['tell-tale'] ? withTellTale(sent, draw) : sent;
      const star = text.lastIndexOf('*');
      // What another fault has cut short of its checksum has none to spoil.
      if (star < 0 || !/^[0-9A-Fa-f]{2}/.test(text.slice(star + 1))) return sent;
      // Any but the right one of the 256 values, all equally likely.
      const move = 1 + Math.floor(stream.uniform() * 255);
      const turned = Number.parseInt(checksum(text.slice(text.lastIndexOf('$') + 1, star)), 16) ^ move;
      return `${text.slice(0, star + 1)}${HEX[turned >> 4]}${HEX[turned & 15]}${text.slice(star + 3)}`;
    },
  }),
});
