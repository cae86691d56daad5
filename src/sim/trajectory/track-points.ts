import { LodestubError } from '../../base/error.js';
import { chordM } from './geodesy.js';
import type { Waypoint } from './legs.js';
import type { TimedWaypoint } from './recorded-track.js';
import type { TrackPoint, TrackStep } from './route.js';

/** Nearer points of a track without times are one point, m. */
const SAME_POINT_M = 0.1;
/** Two places at the same time that are no further apart are one, m. */
const SAME_TIME_M = 1;
/** Between two recorded points a straight line is followed: further apart it would leave the Earth's surface, m. */
const LONGEST_GAP_M = 2_000_000;

/**
 * A track's points with times counted from the first, ready to be played. The same time twice at one place is dropped.
 * @param heightM the height where the track has none, above mean sea level
 * @throws LodestubError `route.track-times`, `route.track-order`, `route.track-gap`, `route.track-short`
 */
export function timedPoints(step: TrackStep, where: string, heightM: number): TimedWaypoint[] {
  const kept: Array<TrackPoint & { timeS: number }> = [];
  step.points.forEach((point, i) => {
    if (point.timeS === undefined) throw withoutTime(step, where, i);
    const last = kept.at(-1);
    const timed = { ...point, timeS: point.timeS };
    if (last === undefined || isNewPoint(last, timed, describePoint(step, i), where)) kept.push(timed);
  });
  if (kept.length < 2) throw tooShort(step, where, 'at different times');
  const firstS = kept[0]!.timeS;
  return withHeights(
    kept.map((point) => ({ ...point, timeS: point.timeS - firstS })),
    kept.map(({ timeS }) => timeS),
    heightM,
  );
}

/**
 * A track's points as waypoints, those left out that lie on the one before.
 * @param start the place reached, in place of the track's first point
 * @throws LodestubError `route.track-short`
 */
export function untimedPoints(step: TrackStep, where: string, start: Waypoint | null): Waypoint[] {
  const kept: TrackPoint[] = [];
  const distancesM: number[] = [];
  for (const [i, point] of step.points.entries()) {
    const place = i === 0 && start !== null ? { ...start, ...heightOf(point) } : point;
    const last = kept.at(-1);
    const stepM = last === undefined ? 0 : chordM(last, place);
    if (last !== undefined && stepM < SAME_POINT_M) continue;
    kept.push(place);
    distancesM.push((distancesM.at(-1) ?? 0) + stepM);
  }
  if (kept.length < 2) throw tooShort(step, where, 'at different places');
  return withHeights(kept, distancesM, start?.altitudeMslM ?? 0);
}

/** Height of the first point: undefined must not hide a known one. */
function heightOf(point: TrackPoint): { altitudeMslM?: number } {
  return point.altitudeMslM === undefined ? {} : { altitudeMslM: point.altitudeMslM };
}

function isNewPoint(
  last: TrackPoint & { timeS: number },
  point: TrackPoint & { timeS: number },
  name: string,
  where: string,
): boolean {
  const distanceM = chordM(last, point);
  if (point.timeS > last.timeS) {
    if (distanceM <= LONGEST_GAP_M) return true;
    throw new LodestubError({
      code: 'route.track-gap',
      path: where,
      summary: `${name} is far from the point before`,
      expected: `at most ${LONGEST_GAP_M / 1000} km between two recorded points`,
      received: `${(distanceM / 1000).toFixed(0)} km`,
      hint: 'Split the track there, or give it a speed instead of its times.',
    });
  }
  if (point.timeS === last.timeS && distanceM <= SAME_TIME_M) return false;
  const isBack = point.timeS < last.timeS;
  throw new LodestubError({
    code: 'route.track-order',
    path: where,
    summary: isBack ? `${name} is earlier than the point before` : `${name} is elsewhere at the same time`,
    expected: isBack ? `a time after ${last.timeS} s` : `one place at ${point.timeS} s`,
    received: isBack ? `${point.timeS} s` : `two places ${distanceM.toFixed(1)} m apart`,
    hint: 'Remove that point, or give the track a speed instead of its times.',
  });
}

/** Fills in missing heights linearly between those known; at the ends the nearest known one holds. */
function withHeights<P extends TrackPoint>(
  points: readonly P[],
  abscissa: readonly number[],
  heightM: number,
): Array<P & Waypoint> {
  const known = points.flatMap(({ altitudeMslM }, i) => (altitudeMslM === undefined ? [] : [{ i, altitudeMslM }]));
  let next = 0;
  return points.map((point, i) => {
    while (next < known.length && known[next]!.i < i) next++;
    const after = known[next];
    const before = after?.i === i ? after : known[next - 1];
    let altitudeMslM = heightM;
    if (before && after && before !== after) {
      const share = (abscissa[i]! - abscissa[before.i]!) / (abscissa[after.i]! - abscissa[before.i]!);
      altitudeMslM = before.altitudeMslM + (after.altitudeMslM - before.altitudeMslM) * share;
    } else if (before ?? after) {
      altitudeMslM = (before ?? after)!.altitudeMslM;
    }
    return { ...point, altitudeMslM };
  });
}

function describePoint(step: TrackStep, i: number): string {
  return `point ${i + 1} of ${step.source}`;
}

function withoutTime(step: TrackStep, where: string, i: number): LodestubError {
  const hasAny = step.points.some(({ timeS }) => timeS !== undefined);
  return new LodestubError({
    code: 'route.track-times',
    path: where,
    summary: hasAny ? `${describePoint(step, i)} has no time, others have` : `${step.source} has no times`,
    expected: 'a time for every point, or a speed',
    hint: 'Give the track a speed, such as speed: 4 km/h.',
  });
}

function tooShort(step: TrackStep, where: string, how: string): LodestubError {
  return new LodestubError({
    code: 'route.track-short',
    path: where,
    expected: `at least two points ${how} in ${step.source}`,
    received: `${step.points.length} ${step.points.length === 1 ? 'point' : 'points'}`,
    hint: 'To stay at one place use a hold.',
  });
}
