import { quantity } from '../../../base/quantity-schema.js';
import { counted } from '../../../base/words.js';
import { percentile } from '../../../statistics/percentile.js';
import type { Evidence, HostReport } from '../../evidence.js';
import type { Span } from '../../expectation.js';
import { pairedReports } from '../../pairing.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { ERROR_KEYS } from '../errors.js';
import { figure } from '../figures.js';
import { failed, passed, untested } from '../finding.js';

const MOST_S = 3600;

/** How late a report is. */
interface Delay {
  readonly report: HostReport;
  readonly delayMs: number;
  /** It tells an epoch again though a newer one had been told: late since then. */
  readonly isOld: boolean;
}

/**
 * From when the host had an epoch's last sentence with a position or time whole to the first report that tells its
 * time, by the machine's clock: the host computes in real time at any pace. A host that reports before it has all of
 * the epoch has no delay. A report that repeats an epoch counts where the host had a newer one whole for longer
 * than the limit: one that goes on telling the same is late.
 */
export const latency = defineExpectation({
  key: 'latency',
  title: 'Latency',
  shape: {
    latency: quantity('duration', { min: 0, max: MOST_S }).describe(
      'How late a report may come after its epoch has been told whole, by the machine’s clock',
    ),
    percentile: ERROR_KEYS.percentile,
  },
  describe: ({ latency: limit, percentile: percent }) => `latency up to ${figure(limit * 1000, 'ms')}, ${percent} %`,
  judge: ({ latency: limitS, percentile: percent }, evidence, windows) => {
    const limitMs = limitS * 1000;
    const delays = delaysOf(evidence, windows, limitMs);
    if (delays.length === 0) return untested('no report told the time of an epoch that the host had');
    delays.sort((a, b) => a.delayMs - b.delayMs);
    const measuredMs = percentile(
      delays.map(({ delayMs }) => delayMs),
      percent,
    );
    const [measured, allowed] = [figure(measuredMs, 'ms', limitMs), figure(limitMs, 'ms')];
    const within = `${percent} % within ${measured} of the epoch’s last sentence (${allowed} allowed)`;
    const old = delays.filter(({ isOld }) => isOld).length;
    const told = evidence.epochs.filter(({ toldMs, atMs }) => toldMs !== null && isWithin(windows, evidence, atMs));
    const repeats = old === 0 ? '' : `, ${counted(old, 'report')} of an older one`;
    const reason = `${within}, ${delays.length - old} of ${counted(told.length, 'epoch')}${repeats}`;
    if (measuredMs <= limitMs) return passed(reason, delays.length, measuredMs / 1000);
    const moments = delays
      .filter(({ delayMs }) => delayMs > limitMs)
      .reverse()
      .map(({ report, delayMs, isOld }) => ({
        atMs: report.arrivedMs,
        what:
          `${figure(delayMs, 'ms', limitMs)} after the ${isOld ? 'next ' : ''}epoch’s last sentence, ` +
          `${allowed} allowed${isOld ? ': an older epoch was reported again' : ''}`,
        report: report.index,
      }));
    return failed(reason, delays.length, moments, measuredMs / 1000);
  },
});

function delaysOf(evidence: Evidence, windows: readonly Span[], limitMs: number): Delay[] {
  const next = nextToldMsOf(evidence);
  const seen = new Set<number>();
  const delays: Delay[] = [];
  for (const { report, epoch, by } of pairedReports(evidence)) {
    if (by !== 'time' || epoch === null || epoch.toldMs === null) continue;
    const isOld = seen.has(epoch.index);
    seen.add(epoch.index);
    const fromMs = isOld ? (next.get(epoch.index) ?? Infinity) : epoch.toldMs;
    const delayMs = fromMs === Infinity ? 0 : Math.max(0, report.arrivedRealMs - evidence.realMsOf(fromMs));
    if (isOld && delayMs <= limitMs) continue;
    if (isWithin(windows, evidence, isOld ? report.arrivedMs : epoch.atMs)) delays.push({ report, delayMs, isOld });
  }
  return delays;
}

/** When the host had an epoch whole that is newer than this one, by this one's index. */
function nextToldMsOf({ epochs }: Evidence): ReadonlyMap<number, number> {
  const next = new Map<number, number>();
  let newerMs = Infinity;
  for (const { index, toldMs } of [...epochs].reverse()) {
    next.set(index, newerMs);
    newerMs = toldMs ?? newerMs;
  }
  return next;
}
