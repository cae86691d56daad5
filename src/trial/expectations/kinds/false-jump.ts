import { z } from 'zod';
import { quantity } from '../../../base/quantity-schema.js';
import { counted } from '../../../base/words.js';
import { distanceM } from '../../../statistics/distance-m.js';
import type { Evidence, TrialEpoch } from '../../evidence.js';
import type { Span } from '../../expectation.js';
import { pairedReports } from '../../pairing.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { figure } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { claimedPlaceOf, FARTHEST_M, placeErrorM, placeOf, truthOf } from '../report-errors.js';

/** Faults by which the module reports a place where the antenna is not. */
const FALSE_PLACES: ReadonlySet<string> = new Set(['position-jump', 'false-sky', 'zero-position']);

/**
 * It is tested at the epochs at which the module, by such a fault, reports a place beyond the limit: what the host
 * reports then must stay within. It may as well report no fix, or nothing.
 */
export const falseJump = defineExpectation({
  key: 'false-jump',
  title: 'False jumps refused',
  shape: {
    'false-jump': z
      .literal('refused', { error: 'expected refused' })
      .describe('refused: the host never reports a place that a position-jump, false-sky or zero-position has set'),
    limit: quantity('length', { exclusiveMin: 0, max: FARTHEST_M })
      .prefault('100 m')
      .describe('How far from the truth is a false place: of the module’s, and of the host’s'),
  },
  describe: ({ limit }) => `false jumps refused, beyond ${figure(limit, 'm')}`,
  judge: ({ limit: limitM }, evidence, windows) => {
    const far = falseEpochs(evidence, windows, limitM);
    const kinds = [...FALSE_PLACES].join(', ');
    if (far.size === 0) return untested(`the module was never ${figure(limitM, 'm')} off by one of ${kinds}`);
    const pairs = pairedReports(evidence);
    if (!pairs.some(({ report }) => claimedPlaceOf(report) !== null)) return untested('no report told a place');
    const lastMs = evidence.reports.at(-1)?.arrivedMs ?? 0;
    const tests = [...far].filter(({ toldMs }) => (toldMs ?? Infinity) <= lastMs).length;
    if (tests === 0) return untested('no report came once the module was off');
    const taken = pairs.flatMap((pair) => {
      const truth = pair.epoch !== null && far.has(pair.epoch) ? truthOf(pair, evidence) : null;
      const offM = truth === null ? null : placeErrorM(pair.report, truth);
      return offM !== null && offM > limitM ? [{ report: pair.report, offM }] : [];
    });
    const of = `${counted(far.size, 'epoch')} at a false place`;
    const [worst] = taken.sort((a, b) => b.offM - a.offM);
    if (worst === undefined) return passed(`no place beyond ${figure(limitM, 'm')} reported at ${of}`, tests);
    const moments = taken.map(({ report, offM }) => ({
      atMs: report.arrivedMs,
      what: `${figure(offM, 'm', limitM)} off, as the module’s false place`,
      report: report.index,
    }));
    const how = `a place ${figure(worst.offM, 'm', limitM)} off reported (${figure(limitM, 'm')} allowed)`;
    return failed(`${how}, ${counted(taken.length, 'report')} at ${of}`, tests, moments, worst.offM);
  },
});

/** The epochs, told to the host, at which a fault has the module report a place that is too far off. */
function falseEpochs(evidence: Evidence, windows: readonly Span[], limitM: number): ReadonlySet<TrialEpoch> {
  const ids = new Set(evidence.faults.filter(({ kind }) => FALSE_PLACES.has(kind)).map(({ id }) => id));
  const isFar = ({ report, truth, faults, toldMs, atMs }: TrialEpoch) => {
    if (truth === null || toldMs === null || !faults.some((id) => ids.has(id))) return false;
    const place = placeOf(report);
    return place !== null && isWithin(windows, evidence, atMs) && distanceM(place, truth) > limitM;
  };
  return new Set(evidence.epochs.filter(isFar));
}
