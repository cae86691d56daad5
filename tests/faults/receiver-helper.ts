import type { z } from 'zod';
import { PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { RandomStreams } from '../../src/base/random.js';
import type { FaultKind, LineEffect, ReceiverEffect, ReportContext } from '../../src/faults/fault.js';
import type { Report } from '../../src/sim/epoch.js';
import { playRun, roof } from '../run/helper.js';

/** One occurrence of a fault with settings as a scenario has them. */
function occurrence(kind: FaultKind, settings: unknown = {}, seed = 1): unknown {
  const parsed = (kind.settings as z.ZodType).parse(settings);
  return kind.create(parsed, new RandomStreams(seed).stream('fault/1.1'));
}

/** What a receiver fault makes of a report, so long after its begin. */
export function reporting(
  kind: FaultKind,
  settings: unknown = {},
): (report: Report, sinceS: number, more?: Partial<ReportContext>) => Report {
  const effect = occurrence(kind, settings) as ReceiverEffect;
  return (report, sinceS, more = {}) =>
    effect.report?.(report, { ...AT_REST, sinceS, leftS: Infinity, ...more }) as Report;
}

export function lineEffect(kind: FaultKind, settings: unknown = {}, seed = 1): LineEffect {
  return occurrence(kind, settings, seed) as LineEffect;
}

const AT_REST = {
  intervalS: 1,
  leapSeconds: PUBLISHED_LEAP_SECONDS,
  truth: {
    latitudeDeg: 47.1,
    longitudeDeg: 8.2,
    heightEllipsoidM: 478,
    altitudeMslM: 430,
    speedMps: 0,
    courseDeg: 0,
    climbMps: 0,
  },
};

/** The reports of a run on the roof as the module made them, by epoch. */
export async function reportsOf(more: Readonly<Record<string, unknown>> = {}): Promise<Report[]> {
  const { steps } = await playRun({ scenario: roof(more) });
  return steps.flatMap(({ epoch }) => (epoch.truth === null ? [] : [epoch.report]));
}
