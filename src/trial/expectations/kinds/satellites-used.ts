import { counted } from '../../../base/words.js';
import { whole } from '../../../scenario/fields.js';
import { defineExpectation } from '../define.js';
import { judgeCounts } from '../satellite-counts.js';

export const satellitesUsed = defineExpectation({
  key: 'satellites-used',
  title: 'Satellites used',
  shape: {
    'satellites-used': whole(0, 200, 'satellites').describe(
      'By how many the host’s number of satellites in the solution may differ from the module’s',
    ),
  },
  describe: ({ 'satellites-used': limit }) =>
    `satellites used as the module reports, ${counted(limit, 'satellite')} off allowed`,
  judge: ({ 'satellites-used': limit }, evidence, windows) => judgeCounts('used', limit, evidence, windows),
});
