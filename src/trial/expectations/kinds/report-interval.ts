import { quantity } from '../../../base/quantity-schema.js';
import { counted } from '../../../base/words.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import type { Evidence } from '../../evidence.js';
import type { Span } from '../../expectation.js';
import { defineExpectation } from '../define.js';
import { figure, seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';

/** A time without a report. */
interface Gap extends Span {
  /** The report that it follows; null: it begins with the window. */
  readonly after: number | null;
}

/** Counts from the first report on, or from where the window begins if one came before, to the window's end. */
export const reportInterval = defineExpectation({
  key: 'report-interval',
  title: 'Interval of reports',
  shape: {
    'report-interval': quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S }).describe(
      'So long at most the host may report nothing, of any kind, in simulated time',
    ),
  },
  describe: ({ 'report-interval': limitS }) => `a report every ${figure(limitS, 's')} at least`,
  judge: ({ 'report-interval': limitS }, evidence, windows) => {
    if (evidence.reports.length === 0) return untested('no report came');
    const gaps = windows.flatMap((window) => gapsIn(window, evidence)).sort((a, b) => lengthMs(b) - lengthMs(a));
    const [longest] = gaps;
    if (longest === undefined) return untested('no report came up to the end of the window');
    const longestS = lengthMs(longest) / 1000;
    const reason = `longest time without a report ${figure(longestS, 's', limitS)} (${figure(limitS, 's')} allowed)`;
    if (longestS <= limitS)
      return passed(`${reason}, ${counted(evidence.reports.length, 'report')}`, gaps.length, longestS);
    const moments = gaps
      .filter((gap) => lengthMs(gap) > limitS * 1000)
      .map((gap) => ({
        atMs: gap.beginMs,
        what: `no report for ${figure(lengthMs(gap) / 1000, 's', limitS)} from ${seconds(gap.beginMs)} on`,
        report: gap.after,
      }));
    return failed(`${reason}, ${counted(moments.length, 'time')} too long`, gaps.length, moments, longestS);
  },
});

function gapsIn({ beginMs, endMs }: Span, { reports }: Evidence): Gap[] {
  const gaps: Gap[] = [];
  let [fromMs, after] = [NaN, null as number | null];
  for (const { arrivedMs, index } of reports) {
    if (arrivedMs >= endMs) break;
    if (arrivedMs < beginMs) {
      fromMs = beginMs;
      continue;
    }
    if (!Number.isNaN(fromMs)) gaps.push({ beginMs: fromMs, endMs: arrivedMs, after });
    [fromMs, after] = [arrivedMs, index];
  }
  if (!Number.isNaN(fromMs)) gaps.push({ beginMs: fromMs, endMs, after });
  return gaps;
}

function lengthMs({ beginMs, endMs }: Span): number {
  return endMs - beginMs;
}
