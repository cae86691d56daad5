import { DEG_PER_RAD } from '../../base/constants.js';
import { type Ecef, ecefFromGeodetic, geodeticFromEcef, LocalFrame } from '../../base/frames.js';
import { curvatureRadiiM, wrapCourseDeg, wrapLongitudeDeg } from './geodesy.js';
import type { Waypoint } from './legs.js';
import { type Cubic, cubicAt, cubicSlopeAt, type EndSlopes, hermiteCubic, steffenSlopes } from './monotone-cubic.js';
import { motionAbove, type SurfaceMotion } from './motion.js';
import { type Piece, RestPiece, restingAt } from './piece.js';
import type { Motion } from './trajectory.js';

/** A point of a track as it is played: complete, times strictly ascending. */
export interface TimedWaypoint extends Waypoint {
  readonly timeS: number;
}

/** What a track follows on. */
export interface BeforeTrack {
  /** Nothing comes before the track: it may begin in motion. */
  readonly isFirst: boolean;
  /** The course held, deg; null where nothing has moved yet. */
  readonly courseDeg: number | null;
}

/** The laws of motion between two recorded points, ECEF coordinates on the ellipsoid and the height, m. */
interface Interval {
  readonly widthS: number;
  readonly x: Cubic;
  readonly y: Cubic;
  readonly z: Cubic;
  readonly altitude: Cubic;
}

/** Travel between two recorded points. */
class RecordedPiece implements Piece {
  readonly durationS: number;
  readonly #interval: Interval;
  readonly #standingCourseDeg: number;

  constructor(interval: Interval, standingCourseDeg: number) {
    this.durationS = interval.widthS;
    this.#interval = interval;
    this.#standingCourseDeg = standingCourseDeg;
  }

  motion(sinceS: number): Motion {
    const { x, y, z, altitude } = this.#interval;
    const place = { xM: cubicAt(x, sinceS), yM: cubicAt(y, sinceS), zM: cubicAt(z, sinceS) };
    const velocity = { xM: cubicSlopeAt(x, sinceS), yM: cubicSlopeAt(y, sinceS), zM: cubicSlopeAt(z, sinceS) };
    return motionAbove(
      footMotion(place, velocity),
      cubicAt(altitude, sinceS),
      cubicSlopeAt(altitude, sinceS),
      this.#standingCourseDeg,
    );
  }
}

/**
 * Plays a recorded track: every point at its time, velocity continuous, standing still where the record does. Each
 * ECEF coordinate of the point's foot on the ellipsoid is interpolated by itself, and so is the height; the straight
 * line between two points runs a little below the ellipsoid, so the foot point of it is taken.
 * It ends at rest, and begins at rest unless it is the first of a route.
 * @param points at least two, times strictly ascending
 */
export function recordedPieces(points: readonly TimedWaypoint[], before: BeforeTrack): Piece[] {
  const intervals = intervalsOf(points, { start: before.isFirst ? 'free' : 'zero', end: 'zero' });
  const firstMoving = intervals.find(moves);
  let courseDeg = before.courseDeg ?? (firstMoving === undefined ? 0 : courseAtEnd(firstMoving, 'start'));
  return intervals.map((interval) => {
    const piece = new RecordedPiece(interval, courseDeg);
    if (moves(interval)) {
      courseDeg = courseAtEnd(interval, 'end');
      return piece;
    }
    const { c1, c2, c3 } = interval.altitude;
    const stands = c1 === 0 && c2 === 0 && c3 === 0;
    return stands ? new RestPiece(interval.widthS, restingAt(piece.motion(0), courseDeg)) : piece;
  });
}

function intervalsOf(points: readonly TimedWaypoint[], ends: EndSlopes): Interval[] {
  const times = Float64Array.from(points, ({ timeS }) => timeS);
  const places = points.map(({ latitudeDeg, longitudeDeg }) =>
    ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 0 }),
  );
  const channel = (values: number[]): ((i: number) => Cubic) => {
    const slopes = steffenSlopes(times, values, ends);
    return (i) => hermiteCubic(times[i + 1]! - times[i]!, values[i]!, values[i + 1]!, slopes[i]!, slopes[i + 1]!);
  };
  const x = channel(places.map(({ xM }) => xM));
  const y = channel(places.map(({ yM }) => yM));
  const z = channel(places.map(({ zM }) => zM));
  const altitude = channel(points.map(({ altitudeMslM }) => altitudeMslM));
  return points
    .slice(1)
    .map((_, i) => ({ widthS: times[i + 1]! - times[i]!, x: x(i), y: y(i), z: z(i), altitude: altitude(i) }));
}

/** What the foot point on the ellipsoid does when a point near the ellipsoid moves. */
function footMotion(place: Ecef, velocity: Ecef): SurfaceMotion {
  const { latitudeDeg, longitudeDeg, heightM } = geodeticFromEcef(place);
  const { eastM, northM } = new LocalFrame(latitudeDeg, longitudeDeg).toEnu(velocity.xM, velocity.yM, velocity.zM);
  const { meridianM, primeVerticalM } = curvatureRadiiM(latitudeDeg);
  return {
    latitudeDeg,
    longitudeDeg: wrapLongitudeDeg(longitudeDeg),
    northMps: northM / (1 + heightM / meridianM),
    eastMps: eastM / (1 + heightM / primeVerticalM),
  };
}

function moves({ x, y, z }: Interval): boolean {
  return [x, y, z].some(({ c1, c2, c3 }) => c1 !== 0 || c2 !== 0 || c3 !== 0);
}

/**
 * The course at an end of an interval. Where it is at rest there, the course is that of the first, or last, movement:
 * along the acceleration, or against it.
 */
function courseAtEnd({ widthS, x, y, z }: Interval, end: 'start' | 'end'): number {
  const t = end === 'start' ? 0 : widthS;
  const place = { xM: cubicAt(x, t), yM: cubicAt(y, t), zM: cubicAt(z, t) };
  const { latitudeDeg, longitudeDeg } = geodeticFromEcef(place);
  const frame = new LocalFrame(latitudeDeg, longitudeDeg);
  const velocity = [x, y, z].map((cubic) => cubicSlopeAt(cubic, t)) as [number, number, number];
  const sign = end === 'start' ? 1 : -1;
  const acceleration = [x, y, z].map(({ c2, c3 }) => sign * (2 * c2 + 6 * c3 * t)) as [number, number, number];
  const isAtRest = Math.hypot(...velocity) * widthS < STANDING_M;
  const { eastM, northM } = frame.toEnu(...(isAtRest ? acceleration : velocity));
  return wrapCourseDeg(Math.atan2(eastM, northM) * DEG_PER_RAD);
}

/** Less than this over a whole interval is rounding, m. */
const STANDING_M = 1e-6;
