import { quantity } from '../../../base/quantity-schema.js';
import { percentile } from '../../../statistics/percentile.js';
import { pairedReports } from '../../pairing.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { ERROR_KEYS } from '../errors.js';
import { count, figure } from '../figures.js';
import { failed, passed, untested } from '../finding.js';

const MOST_S = 3600;

/**
 * From when the host had an epoch's last sentence with a position or time whole to the first report that tells its
 * time, by the machine's clock: the host computes in real time at any pace. A host that reports before it has all of
 * the epoch has no delay.
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
    const seen = new Set<number>();
    const delays = pairedReports(evidence).flatMap(({ report, epoch, by }) => {
      if (by !== 'time' || epoch === null || epoch.toldMs === null || seen.has(epoch.index)) return [];
      seen.add(epoch.index);
      if (!isWithin(windows, evidence, epoch.atMs)) return [];
      return [{ report, delayMs: Math.max(0, report.arrivedRealMs - evidence.realMsOf(epoch.toldMs)) }];
    });
    if (delays.length === 0) return untested('no report told the time of an epoch that the host had');
    delays.sort((a, b) => a.delayMs - b.delayMs);
    const measuredMs = percentile(
      delays.map(({ delayMs }) => delayMs),
      percent,
    );
    const [measured, allowed] = [figure(measuredMs, 'ms', limitMs), figure(limitMs, 'ms')];
    const within = `${percent} % within ${measured} of the epoch’s last sentence (${allowed} allowed)`;
    const reason = `${within}, ${count(delays.length, 'epoch')}`;
    if (measuredMs <= limitMs) return passed(reason, delays.length, measuredMs / 1000);
    const moments = delays
      .filter(({ delayMs }) => delayMs > limitMs)
      .reverse()
      .map(({ report, delayMs }) => ({
        atMs: report.arrivedMs,
        what: `${figure(delayMs, 'ms', limitMs)} after the epoch’s last sentence, ${allowed} allowed`,
        report: report.index,
      }));
    return failed(reason, delays.length, moments, measuredMs / 1000);
  },
});
