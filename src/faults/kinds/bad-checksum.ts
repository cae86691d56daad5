import { z } from 'zod';
import { defineFault } from '../fault.js';
import { share } from '../settings.js';

const HEX = '0123456789ABCDEF';

export const badChecksum = defineFault({
  name: 'bad-checksum',
  title: 'Some sentences carry a wrong checksum; their content is as meant.',
  stage: 'sentence',
  settings: z.strictObject({ share: share(0.25) }),
  goodHost: 'Discards the sentence and uses the next one.',
  create: (settings, stream) => ({
    sentence: (sent) => {
      if (stream.uniform() >= settings.share) return sent;
      const star = sent.lastIndexOf('*');
      // What another fault has cut short of its checksum has none to spoil.
      if (star < 0 || !/^[0-9A-F]{2}/.test(sent.slice(star + 1))) return sent;
      // Any other of the 256 values, all equally likely.
      const move = 1 + Math.floor(stream.uniform() * 255);
      const turned = Number.parseInt(sent.slice(star + 1, star + 3), 16) ^ move;
      return `${sent.slice(0, star + 1)}${HEX[turned >> 4]}${HEX[turned & 15]}${sent.slice(star + 3)}`;
    },
  }),
});
