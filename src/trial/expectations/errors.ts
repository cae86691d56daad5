import { z } from 'zod';
import { counted } from '../../base/words.js';
import { percentile } from '../../statistics/percentile.js';
import type { Evidence, HostReport } from '../evidence.js';
import type { Finding, Span } from '../expectation.js';
import { figure } from './figures.js';
import { failed, passed, untested } from './finding.js';
import { silenceAfter } from './silence-after.js';

const percentError = 'expected a percentage from 1 to 100';
const againstError = 'expected one of truth, module';

/** The keys that expectations of an error have beside their own. */
export const ERROR_KEYS = {
  percentile: z
    .number({ error: percentError })
    .min(1, { error: percentError })
    .max(100, { error: percentError })
    .default(95)
    .describe('How many percent of the reports must be within it; 100: all'),
  against: z
    .enum(['truth', 'module'], { error: againstError })
    .default('truth')
    .describe('truth: where the antenna truly was; module: what the module reported at the same epoch'),
};

/** What errors are held against. */
export type Against = 'truth' | 'module';

/** `the truth`, `the module’s report`. */
export function againstWords(against: Against): string {
  return against === 'truth' ? 'the truth' : 'the module’s report';
}

/** By how much a report is off, 0 or more. */
export interface ReportError {
  readonly report: HostReport;
  /** What time it is about, simulated ms. */
  readonly aboutMs: number;
  readonly size: number;
}

/**
 * Holds errors of reports against a limit that a percentage of them must keep. A host that falls silent is not right
 * for having been right before.
 * @param errors in the order of their reports
 * @param terms.whyNone what was missing where there are none
 */
export function judgeErrors(
  errors: readonly ReportError[],
  evidence: Evidence,
  windows: readonly Span[],
  terms: {
    readonly limit: number;
    readonly unit: string;
    readonly percent: number;
    readonly against: Against;
    readonly whyNone: string;
  },
): Finding {
  const { limit, unit, percent, against, whyNone } = terms;
  if (errors.length === 0) return untested(whyNone);
  const measured = percentile(
    errors.map(({ size }) => size).sort((a, b) => a - b),
    percent,
  );
  const within = `${percent} % within ${figure(measured, unit, limit)} of ${againstWords(against)}`;
  const reason = `${within} (${figure(limit, unit)} allowed), ${counted(errors.length, 'report')}`;
  if (measured <= limit) {
    const times = errors.map(({ aboutMs }) => aboutMs).sort((a, b) => a - b);
    const silence = silenceAfter(times, evidence, windows);
    return silence === null ? passed(reason, errors.length, measured) : untested(`${reason}; but ${silence}`);
  }
  const moments = errors
    .filter(({ size }) => size > limit)
    .sort((a, b) => b.size - a.size)
    .map(({ report, size }) => ({
      atMs: report.arrivedMs,
      what: `${figure(size, unit, limit)} off, ${figure(limit, unit)} allowed`,
      report: report.index,
    }));
  return failed(reason, errors.length, moments, measured);
}
