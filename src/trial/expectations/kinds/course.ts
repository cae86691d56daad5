import { quantity } from '../../../base/quantity-schema.js';
import { MAX_SPEED_MPS } from '../../../scenario/bounds.js';
import { wrap180 } from '../../../statistics/wrap180.js';
import { defineExpectation } from '../define.js';
import { againstWords, ERROR_KEYS, judgeErrors } from '../errors.js';
import { figure } from '../figures.js';
import { errorsOf } from '../report-errors.js';

export const course = defineExpectation({
  key: 'course',
  title: 'Course error',
  shape: {
    course: quantity('angle', { min: 0, max: 180 }).describe('How far a reported course may be off'),
    above: quantity('speed', { min: 0, max: MAX_SPEED_MPS })
      .prefault('1 m/s')
      .describe('Only where the speed, as it is held against, is above this: at rest a course means nothing'),
    ...ERROR_KEYS,
  },
  describe: ({ course: limit, above, percentile, against }) => {
    const within = `course within ${figure(limit, 'deg')} above ${figure(above, 'm/s')}`;
    return `${within}, ${percentile} %, against ${againstWords(against)}`;
  },
  judge: ({ course: limit, above, percentile, against }, evidence, windows) => {
    const errors = errorsOf(evidence, windows, against, (report, held) =>
      report.hasFix === false || report.courseDeg === null || held.courseDeg === null || (held.speedMps ?? 0) <= above
        ? null
        : Math.abs(wrap180(report.courseDeg - held.courseDeg)),
    );
    const whyNone =
      `no report told a course, above ${figure(above, 'm/s')}, ` +
      `that could be held against ${againstWords(against)}`;
    return judgeErrors(errors, evidence, windows, { limit, unit: 'deg', percent: percentile, against, whyNone });
  },
});
