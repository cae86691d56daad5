import { quantity } from '../../../base/quantity-schema.js';
import { defineExpectation } from '../define.js';
import { againstWords, ERROR_KEYS, judgeErrors } from '../errors.js';
import { figure } from '../figures.js';
import { errorsOf, FARTHEST_M, placeErrorM } from '../report-errors.js';

export const position = defineExpectation({
  key: 'position',
  title: 'Position error',
  shape: {
    position: quantity('length', { min: 0, max: FARTHEST_M }).describe('How far a reported place may be off'),
    ...ERROR_KEYS,
  },
  describe: ({ position: limit, percentile, against }) =>
    `position within ${figure(limit, 'm')}, ${percentile} %, against ${againstWords(against)}`,
  judge: ({ position: limit, percentile, against }, evidence, windows) => {
    const errors = errorsOf(evidence, windows, against, placeErrorM);
    const whyNone = `no report told a place that could be held against ${againstWords(against)}`;
    return judgeErrors(errors, evidence, windows, { limit, unit: 'm', percent: percentile, against, whyNone });
  },
});
