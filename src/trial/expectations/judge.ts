import { surroundingsOf } from '../around.js';
import type { Evidence } from '../evidence.js';
import type { Expectation, Finding } from '../expectation.js';
import type { Judged } from '../result.js';
import { whyNoWindow, windowsOf } from '../windows.js';
import { untested } from './finding.js';

/** So many of the worst moments are shown with what stands around them. */
const SHOWN = 3;

/** Kinds that count when a report came, which a file that is written at the end does not tell. */
const BY_ARRIVAL: readonly string[] = ['first-fix', 'time', 'no-fix', 'recovery', 'latency', 'report-interval'];

/** Holds a case's expectations against its evidence, each by itself. */
export function judgeAll(expectations: readonly Expectation[], evidence: Evidence): Judged[] {
  const times = new Map<string, number>();
  return expectations.map((expectation) => {
    const finding = judge(expectation, evidence);
    const { kind } = expectation;
    // Two of one name are one to those who read results.
    const nth = (times.get(expectation.name) ?? 0) + 1;
    times.set(expectation.name, nth);
    const name = nth === 1 ? expectation.name : `${expectation.name} (${nth})`;
    const surroundings = finding.moments.slice(0, SHOWN).map((moment) => surroundingsOf(moment, evidence));
    return { ...finding, name, kind: kind.key, surroundings };
  });
}

function judge({ kind, settings, window }: Expectation, evidence: Evidence): Finding {
  const windows = windowsOf(window, evidence);
  if (windows.length === 0) return untested(whyNoWindow(window, evidence));
  const { reports, endMs } = evidence;
  if (BY_ARRIVAL.includes(kind.key) && reports.length > 0 && reports.every(({ arrivedMs }) => arrivedMs >= endMs)) {
    return untested('all reports came when the case was over, which does not tell when the host knew');
  }
  return kind.judge(settings, evidence, windows);
}
