import { z } from 'zod';
import { quantity } from '../../../base/quantity-schema.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import type { Evidence } from '../../evidence.js';
import type { Finding } from '../../expectation.js';
import { defineExpectation } from '../define.js';
import { figure, seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { fixPhasesOf } from '../module-fix.js';

const afterError = 'expected one of start, module';

export const firstFix = defineExpectation({
  key: 'first-fix',
  title: 'Time to first fix',
  shape: {
    'first-fix': quantity('duration', { min: 0, max: MAX_DURATION_S }).describe(
      'Within this time the host must report its first fix',
    ),
    after: z
      .enum(['start', 'module'], { error: afterError })
      .default('start')
      .describe(
        'start: counted from the start, or where the window begins; ' +
          'module: from when the host had the module’s first fix whole',
      ),
  },
  describe: ({ 'first-fix': limitS, after }) =>
    `first fix within ${figure(limitS, 's')} of ${after === 'start' ? 'the start' : 'the module’s own'}`,
  judge: ({ 'first-fix': limitS, after }, evidence, windows) => {
    const fromMs = windows[0]?.beginMs ?? 0;
    const own = fixPhasesOf(evidence).find(({ state, endMs }) => state === 'fix' && endMs > fromMs);
    if (own === undefined) return judgeWithout(evidence, fromMs);
    const report = evidence.reports.find(({ hasFix, arrivedMs }) => hasFix === true && arrivedMs >= fromMs);
    if (report !== undefined && report.arrivedMs < own.sinceMs) {
      const earlyMs = own.sinceMs - report.arrivedMs;
      const what = `a fix was reported ${seconds(earlyMs)} before the module had one`;
      return failed(what, 1, [{ atMs: report.arrivedMs, what, report: report.index }]);
    }
    const beginMs = after === 'start' ? fromMs : Math.max(fromMs, own.beginMs);
    const since = after === 'start' ? (fromMs === 0 ? 'the start' : seconds(fromMs)) : 'the module’s own';
    const allowed = `${figure(limitS, 's')} allowed`;
    const deadlineMs = beginMs + limitS * 1000;
    if (report === undefined) {
      if (evidence.endMs < deadlineMs) {
        return untested(
          `the case ended before ${figure(limitS, 's')} had passed since ${since}, without a fix reported`,
        );
      }
      if (own.beginMs > deadlineMs) return untested(`the module itself had no fix within ${figure(limitS, 's')}`);
      const what = `no fix was reported up to ${seconds(evidence.endMs)}, ${allowed} after ${since}`;
      return failed(what, 1, [{ atMs: deadlineMs, what, report: null }]);
    }
    const tookS = Math.max(0, report.arrivedMs - beginMs) / 1000;
    const reason = `first fix ${figure(tookS, 's', limitS)} after ${since} (${allowed})`;
    if (tookS <= limitS) return passed(reason, 1, tookS);
    if (own.beginMs > deadlineMs) {
      return untested(`the module itself had its first fix only at ${seconds(own.beginMs)}, ${allowed}`);
    }
    return failed(reason, 1, [{ atMs: report.arrivedMs, what: reason, report: report.index }], tookS);
  },
});

/** The module never told a fix. */
function judgeWithout({ reports }: Evidence, fromMs: number): Finding {
  const report = reports.find(({ hasFix, arrivedMs }) => hasFix === true && arrivedMs >= fromMs);
  if (report === undefined) return untested('the module itself told no fix');
  const what = 'a fix was reported though the module told none';
  return failed(what, 1, [{ atMs: report.arrivedMs, what, report: report.index }]);
}
