import { distanceM } from '../statistics/distance-m.js';
import type { Evidence } from './evidence.js';
import { claimedPlaceOf, placeOf, truthOf } from './expectations/report-errors.js';
import { pairedReports } from './pairing.js';
import type { Drawing, DrawnPoint, DrawnReport } from './result.js';

/** So many points of a track, and reports, at most. */
const MOST_POINTS = 2000;

/** What is drawn of a case; of more than 2,000 points those that stand out are kept, and others evenly. */
export function drawingOf(evidence: Evidence): Drawing {
  const { epochs, faults } = evidence;
  const truth = epochs.flatMap(({ atMs, truth: at }): DrawnPoint[] =>
    at === null ? [] : [{ atMs, latitudeDeg: at.latitudeDeg, longitudeDeg: at.longitudeDeg }],
  );
  const module = epochs.flatMap(({ atMs, report }): DrawnPoint[] => {
    const place = report.status === 'A' ? placeOf(report) : null;
    return place === null ? [] : [{ atMs, ...place }];
  });
  const reports = pairedReports(evidence).flatMap((pair): DrawnReport[] => {
    const place = claimedPlaceOf(pair.report);
    if (place === null) return [];
    const [right, own] = [truthOf(pair, evidence), pair.epoch === null ? null : placeOf(pair.epoch.report)];
    return [
      {
        atMs: pair.report.arrivedMs,
        ...place,
        truthErrorM: right === null ? null : distanceM(place, right),
        moduleErrorM: own === null ? null : distanceM(place, own),
      },
    ];
  });
  const latitude = ({ latitudeDeg }: DrawnPoint) => latitudeDeg;
  const longitude = ({ longitudeDeg }: DrawnPoint) => longitudeDeg;
  const error = ({ truthErrorM, moduleErrorM }: DrawnReport) => truthErrorM ?? moduleErrorM ?? 0;
  return {
    truth: thinned(truth, MOST_POINTS, [latitude, longitude]),
    module: thinned(module, MOST_POINTS, [latitude, longitude]),
    reports: thinned(reports, MOST_POINTS, [latitude, longitude, error]),
    faults,
  };
}

/**
 * At most so many of a list, in its order: its first and last, and of each of many equal parts those with the smallest
 * and the largest value of each measure.
 * @param most above 2 * measures + 2
 */
export function thinned<T>(list: readonly T[], most: number, measures: readonly ((each: T) => number)[]): T[] {
  if (list.length <= most) return [...list];
  const parts = Math.floor((most - 2) / (2 * measures.length));
  const kept = new Set([0, list.length - 1]);
  for (let part = 0; part < parts; part++) {
    const from = Math.floor((part * list.length) / parts);
    const to = Math.floor(((part + 1) * list.length) / parts);
    for (const measure of measures) {
      let [least, largest] = [from, from];
      for (let i = from; i < to; i++) {
        const value = measure(list[i] as T);
        if (value < measure(list[least] as T)) least = i;
        if (value > measure(list[largest] as T)) largest = i;
      }
      kept.add(least).add(largest);
    }
  }
  return [...kept].sort((a, b) => a - b).map((i) => list[i] as T);
}
