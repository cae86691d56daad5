import { z } from 'zod';
import { quantity } from '../../../base/quantity-schema.js';
import { DAY_MS, dateLabelOfMs, utcMsFrom } from '../../../base/utc-ms.js';
import { counted } from '../../../base/words.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import type { TrialEpoch } from '../../evidence.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { figure } from '../figures.js';
import { failed, passed, untested } from '../finding.js';

/**
 * A default date is one that a module claims before it knows the date, or after the count of weeks has run over: years
 * from the truth. It is tested where the module told such a date, or none, with a host that tells dates: what reports
 * only a time of day is given a date by us.
 */
export const defaultDate = defineExpectation({
  key: 'default-date',
  title: 'Default dates refused',
  shape: {
    'default-date': z
      .literal('refused', { error: 'expected refused' })
      .describe('refused: the host never reports a date that is far from the true one'),
    limit: quantity('duration', { min: 60, max: MAX_DURATION_S })
      .prefault('1 d')
      .describe('A reported date and time further from the true one is a wrong date'),
  },
  describe: ({ limit }) => `default dates refused, ${figure(limit / 3600, 'h')} off allowed`,
  judge: ({ limit: limitS }, evidence, windows) => {
    const limitMs = limitS * 1000;
    const trueMs = (atMs: number) => evidence.startUtcMs + atMs;
    const dated = evidence.reports.flatMap(({ utcMs, isDateTold, arrivedMs, index }) =>
      utcMs === null || !isDateTold || !isWithin(windows, evidence, arrivedMs)
        ? []
        : [{ index, arrivedMs, utcMs, offMs: Math.abs(utcMs - trueMs(arrivedMs)) }],
    );
    const wrong = dated.filter(({ offMs }) => offMs > limitMs).sort((a, b) => b.offMs - a.offMs);
    const allowed = `${figure(limitS / 3600, 'h')} allowed`;
    const [worst] = wrong;
    if (worst !== undefined) {
      const days = figure(worst.offMs / DAY_MS, 'days', limitMs / DAY_MS);
      const what = `a date ${days} off reported, ${dateLabelOfMs(worst.utcMs)}`;
      const reason = `${what} (${allowed}), ${counted(wrong.length, 'report')}`;
      const moments = wrong.map((each) => ({
        atMs: each.arrivedMs,
        what: `${dateLabelOfMs(each.utcMs)} reported, ${dateLabelOfMs(trueMs(each.arrivedMs))} in truth`,
        report: each.index,
      }));
      return failed(reason, dated.length, moments, worst.offMs / 1000);
    }
    const exposed = evidence.epochs.filter(
      (epoch): epoch is TrialEpoch & { toldMs: number } =>
        epoch.toldMs !== null && isWithin(windows, evidence, epoch.toldMs) && isWithoutDate(epoch, limitMs),
    );
    const firstMs = exposed[0]?.toldMs;
    if (firstMs === undefined) return untested('the module neither told a wrong date nor was it without one');
    if (dated.length === 0) return untested('no report told a date');
    if ((dated.at(-1)?.arrivedMs ?? 0) < firstMs) {
      return untested('no report told a date after the module had told a wrong one, or none');
    }
    const epochs = counted(exposed.length, 'epoch');
    return passed(
      `no wrong date reported in ${counted(dated.length, 'report')}, ${epochs} without a true one`,
      exposed.length,
    );
  },
});

/** Whether the module told no date, or one that is wrong. */
function isWithoutDate({ report, utcMs }: TrialEpoch, limitMs: number): boolean {
  if (!report.dateKnown || report.utc === null) return true;
  return Math.abs(utcMsFrom(report.utc) - utcMs) > limitMs;
}
