import { RAD_PER_DEG } from '../../base/constants.js';
import type { Surroundings } from '../surroundings.js';
import { type Corner, type Curve, FilletHalf, LegPart, planCorner } from './fillet.js';
import { turnDeg, wrapCourseDeg } from './geodesy.js';
import type { Leg } from './legs.js';
import { motionAbove } from './motion.js';
import { type Piece, PivotPiece } from './piece.js';
import { type Phase, type Stretch, speedProfile } from './speed-profile.js';
import type { Motion } from './trajectory.js';

/** Share of a leg that one corner may take where the other end has a corner too, and where it has none. */
const SHARED_ROOM = 0.49;
const WHOLE_ROOM = 0.98;
/** A smaller difference of course at rest needs no pivot, deg: below what any sentence shows. */
const SAME_COURSE_DEG = 1e-4;

/** Height along a leg by the path's length: a smoothstep from one waypoint to the next. */
interface Climb {
  readonly fromM: number;
  readonly byM: number;
  readonly spanM: number;
}

/** A curve of a path, with where it lies on its leg's climb. */
interface Section extends Stretch {
  readonly curve: Curve;
  readonly climb: Climb;
  /** Path length from the leg's first waypoint to the curve's start, m. */
  readonly climbedM: number;
  readonly surroundings: Surroundings | undefined;
}

/** Travel along one section with constant acceleration. */
class PathPiece implements Piece {
  readonly durationS: number;
  readonly #section: Section;
  readonly #phase: Phase;

  constructor(section: Section, phase: Phase) {
    this.durationS = phase.durationS;
    this.#section = section;
    this.#phase = phase;
  }

  get surroundings(): Surroundings | undefined {
    return this.#section.surroundings;
  }

  motion(sinceS: number): Motion {
    const { startM, startSpeedMps, accelerationMps2 } = this.#phase;
    const { curve, climb, climbedM } = this.#section;
    const distanceM = startM + sinceS * (startSpeedMps + 0.5 * accelerationMps2 * sinceS);
    const pathMps = Math.max(0, startSpeedMps + accelerationMps2 * sinceS);
    const point = curve.at(distanceM);
    const courseRad = point.courseDeg * RAD_PER_DEG;
    const surfaceMps = pathMps * point.stretch;
    const surface = {
      latitudeDeg: point.latitudeDeg,
      longitudeDeg: point.longitudeDeg,
      northMps: surfaceMps * Math.cos(courseRad),
      eastMps: surfaceMps * Math.sin(courseRad),
    };
    const share = Math.min(1, Math.max(0, (climbedM + distanceM) / climb.spanM));
    const altitudeMslM = climb.fromM + climb.byM * share * share * (3 - 2 * share);
    const climbMps = ((climb.byM * 6 * share * (1 - share)) / climb.spanM) * pathMps;
    return motionAbove(surface, altitudeMslM, climbMps, wrapCourseDeg(point.courseDeg));
  }
}

/**
 * The pieces of one path from rest to rest: legs, rounded corners, pivots.
 * @param heldCourseDeg the course before it; null where nothing has moved yet
 */
export function pathPieces(legs: readonly Leg[], heldCourseDeg: number | null): Piece[] {
  const pieces: Piece[] = [];
  let courseDeg = heldCourseDeg;
  for (const run of runsOf(legs)) {
    const travel: Piece[] = [];
    const sections = sectionsOf(run);
    speedProfile(sections).forEach((phases, i) => {
      for (const phase of phases) travel.push(new PathPiece(sections[i]!, phase));
    });
    const start = travel[0]!.motion(0);
    if (courseDeg !== null && Math.abs(turnDeg(courseDeg, start.courseDeg)) > SAME_COURSE_DEG) {
      const standing = { ...start, courseDeg };
      pieces.push(new PivotPiece(standing, start.courseDeg, run.legs[0]!.manner.yawRateDegps));
    }
    for (const piece of travel) pieces.push(piece);
    const last = travel.at(-1)!;
    courseDeg = last.motion(last.durationS).courseDeg;
  }
  return pieces;
}

/** Legs between two stops, with the corner at the end of each but the last. */
interface Run {
  readonly legs: Leg[];
  readonly corners: Corner[];
}

/** Parts a path where a corner can only be taken standing. */
function runsOf(legs: readonly Leg[]): Run[] {
  const runs: Run[] = [];
  let run: Run = { legs: [], corners: [] };
  legs.forEach((leg, i) => {
    run.legs.push(leg);
    const next = legs[i + 1];
    const corner: Corner = next === undefined ? { kind: 'pivot' } : planCorner(leg, next, roomAtM(legs, i));
    if (corner.kind === 'pivot') {
      runs.push(run);
      run = { legs: [], corners: [] };
    } else {
      run.corners.push(corner);
    }
  });
  return runs;
}

/** What the corner after leg `i` may take of either leg, m. */
function roomAtM(legs: readonly Leg[], i: number): number {
  const shareBefore = i === 0 ? WHOLE_ROOM : SHARED_ROOM;
  const shareAfter = i + 2 === legs.length ? WHOLE_ROOM : SHARED_ROOM;
  return Math.min(legs[i]!.line.lengthM * shareBefore, legs[i + 1]!.line.lengthM * shareAfter);
}

function sectionsOf({ legs, corners }: Run): Section[] {
  return legs.flatMap((leg, i) => {
    const before = roundAt(corners[i - 1]);
    const after = roundAt(corners[i]);
    const { accelerationMps2, surroundings } = leg.manner;
    const tangentM = before?.tangentM ?? 0;
    const straight = new LegPart(leg, tangentM, leg.line.lengthM - tangentM - (after?.tangentM ?? 0));
    const curves: Array<{ curve: Curve; speedMps: number }> = [{ curve: straight, speedMps: leg.surfaceSpeedMps }];
    if (before) {
      curves.unshift({ curve: new FilletHalf(legs[i - 1]!, before, 'second'), speedMps: before.speedMps });
    }
    if (after) curves.push({ curve: new FilletHalf(leg, after, 'first'), speedMps: after.speedMps });
    const spanM = curves.reduce((sum, { curve }) => sum + curve.lengthM, 0);
    const climb = { fromM: leg.from.altitudeMslM, byM: leg.to.altitudeMslM - leg.from.altitudeMslM, spanM };
    let climbedM = 0;
    return curves.map(({ curve, speedMps }) => {
      const section = { curve, speedMps, accelerationMps2, lengthM: curve.lengthM, climb, climbedM, surroundings };
      climbedM += curve.lengthM;
      return section;
    });
  });
}

function roundAt(corner: Corner | undefined): Extract<Corner, { kind: 'round' }> | undefined {
  return corner?.kind === 'round' ? corner : undefined;
}
