import { quantity } from '../../../base/quantity-schema.js';
import { counted } from '../../../base/words.js';
import { MAX_DURATION_S } from '../../../scenario/bounds.js';
import { distanceM, type Place } from '../../../statistics/distance-m.js';
import type { Evidence, HostReport } from '../../evidence.js';
import type { Finding, Moment } from '../../expectation.js';
import { type PairedReport, pairedReports } from '../../pairing.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { figure, seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { type FixPhase, fixLossesOf, fixPhasesOf, fixStateOf } from '../module-fix.js';
import { claimedPlaceOf, placeOf } from '../report-errors.js';

/**
 * A place that stays exactly the same while the module's own is farther away is an old one, m; coarser than what any
 * usual number of decimals rounds to (two decimals of a minute: 18.5 m).
 */
const MOVED_M = 50;

/** A recovery counts from when the host has the first new fix whole, and needs a report that is about it or later. */
export const recovery = defineExpectation({
  key: 'recovery',
  title: 'Recovery',
  shape: {
    recovery: quantity('duration', { min: 0, max: MAX_DURATION_S }).describe(
      'Within this time the host must report a fix again after the module does, or after its sentences are back',
    ),
  },
  describe: ({ recovery: limitS }) => `recovery within ${figure(limitS, 's')}`,
  judge: ({ recovery: limitS }, evidence, windows) => {
    const isMeant = (atMs: number) => isWithin(windows, evidence, atMs);
    const back = recoveriesOf(fixPhasesOf(evidence), isMeant);
    const absent = absenceOf(evidence, limitS, isMeant);
    if (absent !== null) return absent;
    if (back.length === 0) return untested('the module never had its fix back after a loss');
    const pairs = pairedReports(evidence);
    let [worstS, tests] = [0, 0];
    const moments: (Moment & { readonly lateMs: number })[] = [];
    for (const phase of back) {
      const report = firstOf(phase, pairs, evidence);
      const tookMs = report === undefined ? Infinity : Math.max(0, report.arrivedMs - phase.beginMs);
      // A fix that the module did not keep so long says nothing of a host that had not reported it yet.
      if (tookMs > limitS * 1000 && phase.endMs - phase.beginMs < limitS * 1000) continue;
      tests++;
      const lateMs = Math.min(tookMs, phase.endMs - phase.beginMs);
      worstS = Math.max(worstS, lateMs / 1000);
      if (tookMs <= limitS * 1000) continue;
      const what =
        report === undefined || tookMs > lateMs
          ? `no fix reported for ${seconds(lateMs)} after the module had its own back`
          : `a fix reported ${seconds(lateMs)} after the module had its own back`;
      moments.push({ atMs: phase.beginMs + limitS * 1000, what, report: report?.index ?? null, lateMs });
    }
    if (tests === 0) return untested(`the module never kept its fix for ${figure(limitS, 's')} after a loss`);
    const allowed = `(${figure(limitS, 's')} allowed)`;
    const recoveries = counted(tests, 'recovery', 'recoveries');
    if (moments.length === 0) {
      return passed(`recovered within ${figure(worstS, 's', limitS)} ${allowed}, ${recoveries}`, tests, worstS);
    }
    moments.sort((a, b) => b.lateMs - a.lateMs);
    const shown = moments.map(({ lateMs: _, ...moment }) => moment);
    return failed(
      `${shown[0]?.what} ${allowed}, ${counted(moments.length, 'time')} in ${recoveries}`,
      tests,
      shown,
      worstS,
    );
  },
});

/** The port was back, the module had a fix, and the host did not open it again in time; null: that was not so. */
function absenceOf(evidence: Evidence, limitS: number, isMeant: (atMs: number) => boolean): Finding | null {
  for (const gone of evidence.portGone) {
    const dueMs = gone.endMs + limitS * 1000;
    if (dueMs >= evidence.endMs || !(isMeant(gone.beginMs) || isMeant(gone.endMs))) continue;
    const without = evidence.unheard.find(({ beginMs, endMs }) => beginMs <= gone.endMs && endMs > dueMs);
    const hasFix = evidence.epochs.some((epoch) => {
      return epoch.atMs > gone.endMs && epoch.atMs <= dueMs && fixStateOf(epoch) === 'fix';
    });
    if (without === undefined || !hasFix) continue;
    const lateMs = Math.min(without.endMs, evidence.endMs) - gone.endMs;
    const what = `the host did not have the port open for ${seconds(lateMs)} after it was back`;
    const moment = { atMs: dueMs, what, report: null };
    return failed(`${what} (${figure(limitS, 's')} allowed)`, 1, [moment], lateMs / 1000);
  }
  return null;
}

/** The phases with a fix that follow a loss, where that or they themselves begin in a time that is meant. */
function recoveriesOf(phases: readonly FixPhase[], isMeant: (atMs: number) => boolean): FixPhase[] {
  const found: FixPhase[] = [];
  for (const loss of fixLossesOf(phases)) {
    const fix = phases.find(({ state, sinceMs }) => state === 'fix' && sinceMs >= loss.endMs);
    if (fix === undefined || found.includes(fix)) continue;
    if (isMeant(loss.beginMs) || isMeant(fix.beginMs)) found.push(fix);
  }
  return found;
}

/** The first report that is about a new fix, or a later time. */
function firstOf({ sinceMs }: FixPhase, pairs: readonly PairedReport[], evidence: Evidence): HostReport | undefined {
  const before = pairs.findLast(({ report }) => report.arrivedMs < sinceMs && claimedPlaceOf(report) !== null);
  const last = before === undefined ? null : claimedPlaceOf(before.report);
  return pairs.find(({ report, epoch, aboutMs, by }) => {
    if (report.hasFix !== true || report.arrivedMs < sinceMs) return false;
    if (by === 'time' && aboutMs < sinceMs - evidence.epochMs / 2) return false;
    return !isOld(claimedPlaceOf(report), last, epoch === null ? null : placeOf(epoch.report));
  })?.report;
}

/** Whether it is exactly the place from before, though the module's own has moved on. */
function isOld(told: Place | null, before: Place | null, now: Place | null): boolean {
  if (told === null || before === null || now === null) return false;
  const isSame = told.latitudeDeg === before.latitudeDeg && told.longitudeDeg === before.longitudeDeg;
  return isSame && distanceM(told, now) > MOVED_M;
}
