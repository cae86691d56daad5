import { quantity } from '../../../base/quantity-schema.js';
import { MAX_SPEED_MPS } from '../../../scenario/bounds.js';
import { defineExpectation } from '../define.js';
import { againstWords, ERROR_KEYS, judgeErrors } from '../errors.js';
import { figure } from '../figures.js';
import { errorsOf } from '../report-errors.js';

export const speed = defineExpectation({
  key: 'speed',
  title: 'Speed error',
  shape: {
    speed: quantity('speed', { min: 0, max: MAX_SPEED_MPS }).describe('How far a reported speed may be off'),
    ...ERROR_KEYS,
  },
  describe: ({ speed: limit, percentile, against }) =>
    `speed within ${figure(limit, 'm/s')}, ${percentile} %, against ${againstWords(against)}`,
  judge: ({ speed: limit, percentile, against }, evidence, windows) => {
    const errors = errorsOf(evidence, windows, against, (report, held) =>
      report.hasFix === false || report.speedMps === null || held.speedMps === null
        ? null
        : Math.abs(report.speedMps - held.speedMps),
    );
    const whyNone = `no report told a speed that could be held against ${againstWords(against)}`;
    return judgeErrors(errors, evidence, windows, { limit, unit: 'm/s', percent: percentile, against, whyNone });
  },
});
