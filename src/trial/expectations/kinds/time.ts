import { quantity } from '../../../base/quantity-schema.js';
import { utcMsFrom } from '../../../base/utc-ms.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import type { TrialEpoch } from '../../evidence.js';
import { Arrivals } from '../../pairing.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { type Against, againstWords, ERROR_KEYS, judgeErrors, type ReportError } from '../errors.js';
import { figure } from '../figures.js';

/**
 * What a report tells is held against the newest epoch that the host had when the report came: a time that was right
 * some seconds ago is wrong now. Of an epoch that was only partly told either it or the one before may be meant.
 */
export const time = defineExpectation({
  key: 'time',
  title: 'Time error',
  shape: {
    time: quantity('duration', { min: 0, max: MAX_DURATION_S }).describe(
      'How far a reported UTC may be from that of the newest epoch that the host had',
    ),
    ...ERROR_KEYS,
  },
  describe: ({ time: limit, percentile, against }) =>
    `time within ${figure(limit, 's')}, ${percentile} %, against ${againstWords(against)}`,
  judge: ({ time: limit, percentile, against }, evidence, windows) => {
    const arrivals = new Arrivals(evidence);
    const errors: ReportError[] = [];
    for (const report of evidence.reports) {
      const { utcMs, arrivedMs } = report;
      if (utcMs === null || !isWithin(windows, evidence, arrivedMs)) continue;
      const offs = arrivals.candidates(arrivedMs).flatMap((epoch) => {
        const rightMs = timeOf(epoch, against);
        return rightMs === null ? [] : [Math.abs(utcMs - rightMs) / 1000];
      });
      if (offs.length > 0) errors.push({ report, aboutMs: arrivedMs, size: Math.min(...offs) });
    }
    const whyNone = `no report told a time that could be held against ${againstWords(against)}`;
    return judgeErrors(errors, evidence, windows, { limit, unit: 's', percent: percentile, against, whyNone });
  },
});

function timeOf({ utcMs, report }: TrialEpoch, against: Against): number | null {
  if (against === 'truth') return utcMs;
  return report.utc === null || !report.dateKnown ? null : utcMsFrom(report.utc);
}
