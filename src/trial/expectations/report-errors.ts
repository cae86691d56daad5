import type { Truth } from '../../sim/epoch.js';
import { distanceM, type Place } from '../../statistics/distance-m.js';
import type { RecordedReport } from '../../truth/journal-record.js';
import type { Evidence, HostReport } from '../evidence.js';
import type { Span } from '../expectation.js';
import { type PairedReport, pairedReports } from '../pairing.js';
import { truthAt } from '../truth-at.js';
import { isWithin } from '../windows.js';
import type { Against, ReportError } from './errors.js';

/** Half way round the Earth: an error of position is never larger, m. */
export const FARTHEST_M = 20_000_000;

/** What a report can be held against: both have these. */
export type Held = Pick<
  Truth | RecordedReport,
  'latitudeDeg' | 'longitudeDeg' | 'altitudeMslM' | 'speedMps' | 'courseDeg'
>;

/** The truth at the time that a report is about; null: not known. */
export function truthOf({ aboutMs }: PairedReport, { epochs, epochMs }: Evidence): Truth | null {
  return truthAt(epochs, aboutMs, epochMs);
}

/**
 * The errors of the reports that are about a time in the windows.
 * @param sizeOf by how much a report is off, 0 or more; null: that cannot be told
 */
export function errorsOf(
  evidence: Evidence,
  windows: readonly Span[],
  against: Against,
  sizeOf: (report: HostReport, held: Held) => number | null,
): ReportError[] {
  const errors: ReportError[] = [];
  for (const pair of pairedReports(evidence)) {
    if (!isWithin(windows, evidence, pair.aboutMs)) continue;
    const held = against === 'truth' ? truthOf(pair, evidence) : (pair.epoch?.report ?? null);
    const size = held === null ? null : sizeOf(pair.report, held);
    if (size !== null) errors.push({ report: pair.report, aboutMs: pair.aboutMs, size });
  }
  return errors;
}

/** The place that a report claims; null: it tells none, or says that it is no fix. */
export function claimedPlaceOf({ hasFix, latitudeDeg, longitudeDeg }: HostReport): Place | null {
  if (hasFix === false || latitudeDeg === null || longitudeDeg === null) return null;
  return { latitudeDeg, longitudeDeg };
}

/** Place of a report of the module's, or of the truth; null: none. */
export function placeOf({ latitudeDeg, longitudeDeg }: Held | RecordedReport): Place | null {
  return latitudeDeg === null || longitudeDeg === null ? null : { latitudeDeg, longitudeDeg };
}

/** Horizontal distance of what a report claims; null: one of the two has no place. */
export function placeErrorM(report: HostReport, held: Held): number | null {
  const [told, right] = [claimedPlaceOf(report), placeOf(held)];
  return told === null || right === null ? null : distanceM(told, right);
}
