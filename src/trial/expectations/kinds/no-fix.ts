import { z } from 'zod';
import { quantity } from '../../../base/quantity-schema.js';
import { counted } from '../../../base/words.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import type { HostReport } from '../../evidence.js';
import type { Moment } from '../../expectation.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { figure, seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { type FixLoss, fixLossesOf, fixPhasesOf } from '../module-fix.js';

const silenceError = 'expected one of stale, no-fix';

/**
 * A loss begins when the host has been told whole that there is no fix, or when the first sentences fail to come. From
 * so long after on until the module has a fix again the host must not stand by a fix: its last word must be that there
 * is none, and it must not say otherwise.
 */
export const noFix = defineExpectation({
  key: 'no-fix',
  title: 'Loss of the fix reported',
  shape: {
    'no-fix': quantity('duration', { min: 0, max: MAX_DURATION_S }).describe(
      'Within this time of the loss of the fix, or of all sentences, the host must report that there is none',
    ),
    silence: z
      .enum(['stale', 'no-fix'], { error: silenceError })
      .default('stale')
      .describe(
        'What a host means that stops reporting: stale: its last position stands on a screen, as if it were good; ' +
          'no-fix: whoever reads its reports takes it for no fix',
      ),
  },
  describe: ({ 'no-fix': limitS }) => `no fix reported within ${figure(limitS, 's')} of its loss`,
  judge: ({ 'no-fix': limitS, silence }, evidence, windows) => {
    const losses = fixLossesOf(fixPhasesOf(evidence)).filter(({ beginMs }) => isWithin(windows, evidence, beginMs));
    if (losses.length === 0) return untested('the module neither lost its fix nor fell silent');
    const long = losses.filter(({ beginMs, endMs }) => endMs - beginMs >= limitS * 1000);
    if (long.length === 0) return untested(`no loss of the fix lasted ${figure(limitS, 's')}`);
    const spoken = evidence.reports.filter(({ hasFix }) => hasFix !== null);
    const tested = long.filter(({ sinceMs }) => lastBy(spoken, sinceMs)?.hasFix === true);
    if (tested.length === 0) return untested('the host reported no fix that it could lose');
    const wrong = tested.flatMap((loss) => wrongIn(loss, limitS * 1000, silence, spoken));
    const losts = `${counted(tested.length, 'loss', 'losses')} of the fix`;
    const allowed = `${figure(limitS, 's')} allowed`;
    if (wrong.length > 0) {
      const [worst] = wrong.sort((a, b) => b.lateMs - a.lateMs) as [Wrong, ...Wrong[]];
      const of = `${worst.moment.what} (${allowed}), ${counted(wrong.length, 'time')} in ${losts}`;
      const moments = wrong.map(({ moment }) => moment);
      return failed(of, tested.length, moments, worst.lateMs / 1000);
    }
    const tookS = Math.max(...tested.map((loss) => tookMs(loss, silence, spoken))) / 1000;
    return passed(`told within ${figure(tookS, 's', limitS)} (${allowed}), ${losts}`, tested.length, tookS);
  },
});

interface Wrong {
  readonly lateMs: number;
  readonly moment: Moment;
}

/** What the host does against it in a loss; empty: nothing. */
function wrongIn(loss: FixLoss, limitMs: number, silence: 'stale' | 'no-fix', spoken: readonly HostReport[]): Wrong[] {
  const deadlineMs = loss.beginMs + limitMs;
  const how = loss.state === 'silent' ? 'the module’s last sentences' : 'the loss';
  const said = spoken.findLast(
    ({ hasFix, arrivedMs }) => hasFix === true && arrivedMs > deadlineMs && arrivedMs < loss.endMs,
  );
  if (said !== undefined) {
    const lateMs = said.arrivedMs - loss.beginMs;
    const what = `a fix still reported ${seconds(lateMs)} after ${how}`;
    return [{ lateMs, moment: { atMs: said.arrivedMs, what, report: said.index } }];
  }
  const last = lastBy(spoken, deadlineMs) as HostReport;
  if (last.hasFix === false || silence === 'no-fix') return [];
  const next = spoken.find(({ arrivedMs }) => arrivedMs > deadlineMs && arrivedMs < loss.endMs);
  const lateMs = (next?.arrivedMs ?? loss.endMs) - loss.beginMs;
  const what = `the last fix stood on for ${seconds(lateMs)} after ${how}, nothing else being reported`;
  return [{ lateMs, moment: { atMs: deadlineMs, what, report: last.index } }];
}

/** How long after a loss the host said no fix and stayed with it, ms. */
function tookMs({ beginMs, endMs }: FixLoss, silence: 'stale' | 'no-fix', spoken: readonly HostReport[]): number {
  const during = spoken.filter(({ arrivedMs }) => arrivedMs >= beginMs && arrivedMs < endMs);
  const lastFix = during.findLastIndex(({ hasFix }) => hasFix === true);
  const after = during[lastFix + 1]?.arrivedMs;
  // Told in good time, by the epoch's first sentence; or silent, which is as good here.
  if (lastFix < 0 && (after === undefined || silence === 'no-fix' || lastBy(spoken, beginMs)?.hasFix === false))
    return 0;
  return (after ?? (during[lastFix] as HostReport).arrivedMs) - beginMs;
}

/** The newest that had come by a time. */
function lastBy(reports: readonly HostReport[], atMs: number): HostReport | undefined {
  return reports.findLast(({ arrivedMs }) => arrivedMs <= atMs);
}
