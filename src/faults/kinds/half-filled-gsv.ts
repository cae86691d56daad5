import { z } from 'zod';
import { defineFault } from '../fault.js';
import { GSV_SATELLITE, GSV_START, gsvSatellites, joinSentence, kindOf, splitSentence } from '../sentence-edit.js';
import { share } from '../settings.js';

export const halfFilledGsv = defineFault({
  name: 'half-filled-gsv',
  title: "The last GSV of a list ends in the middle of a satellite's four fields; its checksum matches.",
  stage: 'sentence',
  settings: z.strictObject({
    missing: z.int().min(1).max(3).optional().describe("how many of the last satellite's fields; default: by chance"),
    share: share(1, 'lists'),
  }),
  goodHost: 'Uses the satellites that are whole, and neither ends nor keeps the old list.',
  create: (settings, stream) => ({
    sentence: (sent) => {
      const parts = splitSentence(sent);
      if (parts === null || kindOf(parts.fields) !== 'GSV') return sent;
      const { fields } = parts;
      const count = gsvSatellites(fields);
      if (fields[1] !== fields[2] || count < 1 || stream.uniform() >= settings.share) return sent;
      const missing = settings.missing ?? 1 + Math.floor(stream.uniform() * 3);
      // A signal id after the satellites stays.
      fields.splice(GSV_START + GSV_SATELLITE * count - missing, missing);
      return joinSentence(parts);
    },
  }),
});
