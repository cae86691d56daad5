import { counted } from '../../../base/words.js';
import { whole } from '../../../scenario/fields.js';
import { defineExpectation } from '../define.js';
import { judgeCounts } from '../satellite-counts.js';

export const satellitesInView = defineExpectation({
  key: 'satellites-in-view',
  title: 'Satellites in view',
  shape: {
    'satellites-in-view': whole(0, 200, 'satellites').describe(
      'By how many the host’s number of satellites in view may differ from the module’s list',
    ),
  },
  describe: ({ 'satellites-in-view': limit }) =>
    `satellites in view as the module lists, ${counted(limit, 'satellite')} off allowed`,
  judge: ({ 'satellites-in-view': limit }, evidence, windows) => judgeCounts('inView', limit, evidence, windows),
});
