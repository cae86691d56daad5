import { quantity } from '../../../base/quantity-schema.js';
import { HIGHEST_M } from '../../../scenario/bounds.js';
import { defineExpectation } from '../define.js';
import { againstWords, ERROR_KEYS, judgeErrors } from '../errors.js';
import { figure } from '../figures.js';
import { errorsOf } from '../report-errors.js';

export const height = defineExpectation({
  key: 'height',
  title: 'Height error',
  shape: {
    height: quantity('length', { min: 0, max: HIGHEST_M }).describe(
      'How far a reported height above mean sea level may be off',
    ),
    ...ERROR_KEYS,
  },
  describe: ({ height: limit, percentile, against }) =>
    `height within ${figure(limit, 'm')}, ${percentile} %, against ${againstWords(against)}`,
  judge: ({ height: limit, percentile, against }, evidence, windows) => {
    const errors = errorsOf(evidence, windows, against, (report, held) =>
      report.hasFix === false || report.altitudeMslM === null || held.altitudeMslM === null
        ? null
        : Math.abs(report.altitudeMslM - held.altitudeMslM),
    );
    const whyNone = `no report told a height that could be held against ${againstWords(against)}`;
    return judgeErrors(errors, evidence, windows, { limit, unit: 'm', percent: percentile, against, whyNone });
  },
});
