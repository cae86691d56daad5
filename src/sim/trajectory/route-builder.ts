import { LodestubError } from '../../base/error.js';
import type { Surroundings } from '../surroundings.js';
import type { PlacedStep } from './check-step.js';
import { chordM, wrapLongitudeDeg } from './geodesy.js';
import { type Leg, type LegManner, legBetween, type Waypoint } from './legs.js';
import { pathPieces } from './path.js';
import { type Piece, PieceAmid, RestPiece, restingAt } from './piece.js';
import { recordedPieces } from './recorded-track.js';
import type { GoStep, HoldStep, Place, TrackStep } from './route.js';
import { timedPoints, untimedPoints } from './track-points.js';

/** A place named again may be this far from the one reached, m: six decimals of a degree are 0.1 m. */
const SAME_PLACE_M = 1;
/** A shorter leg has no direction, m. */
const SHORTEST_LEG_M = 0.01;

/** Turns steps into pieces, one after another. */
export class RouteBuilder {
  readonly #pieces: Piece[] = [];
  /** Holds before anything has moved: their course is the first to come. */
  readonly #early: Array<{ readonly step: HoldStep; readonly place: Waypoint }> = [];
  /** Legs of the path that is still open. */
  #legs: Leg[] = [];
  #reached: Waypoint | null = null;
  #courseDeg: number | null = null;

  add({ step, where }: PlacedStep): void {
    if (step.kind === 'hold') this.#hold(step, where);
    else if (step.kind === 'go') this.#go(step, where);
    else if (step.speedMps !== undefined) this.#trackAtSpeed(step, step.speedMps, where);
    else this.#trackAsRecorded(step, where);
  }

  /** All pieces, the last path closed. */
  finish(): Piece[] {
    this.#closePath();
    const courseDeg = this.#pieces[0]?.motion(0).courseDeg ?? 0;
    const early = this.#early.map(({ step, place }) => restAt(step, place, courseDeg));
    return [...early, ...this.#pieces];
  }

  #hold(step: HoldStep, where: string): void {
    if (this.#reached === null) {
      if (step.at === undefined) throw withoutPlace(where);
      this.#reached = waypoint(step.at, 0);
    } else if (step.at !== undefined) {
      requireSamePlace(this.#reached, step.at, where, 'the hold');
    }
    this.#closePath();
    if (this.#courseDeg === null) this.#early.push({ step, place: this.#reached });
    else this.#pieces.push(restAt(step, this.#reached, this.#courseDeg));
  }

  #go(step: GoStep, where: string): void {
    let via = step.via;
    if (this.#reached === null) {
      if (via.length < 2) throw withoutPlace(where);
      this.#reached = waypoint(via[0]!, 0);
      via = via.slice(1);
    } else if (via.length >= 2 && isSamePlace(this.#reached, via[0]!)) {
      // A go may name the place where it starts.
      via = via.slice(1);
    }
    for (const place of via) this.#leg(waypoint(place, this.#reached.altitudeMslM), step, where);
  }

  #leg(to: Waypoint, manner: LegManner, where: string): void {
    const leg = legBetween(this.#reached!, to, manner);
    if (leg.line.lengthM < SHORTEST_LEG_M) {
      throw new LodestubError({
        code: 'route.zero-leg',
        path: where,
        expected: 'a place other than the one reached',
        received: describe(to),
        hint: 'Remove that place, or use a hold.',
      });
    }
    this.#legs.push(leg);
    this.#reached = to;
  }

  #trackAtSpeed(step: TrackStep, speedMps: number, where: string): void {
    if (this.#reached !== null) requireSamePlace(this.#reached, step.points[0]!, where, step.source);
    const points = untimedPoints(step, where, this.#reached);
    this.#reached ??= points[0]!;
    const manner = { ...step, speedMps };
    for (const point of points.slice(1)) this.#leg(point, manner, where);
  }

  #trackAsRecorded(step: TrackStep, where: string): void {
    if (this.#reached !== null) requireSamePlace(this.#reached, step.points[0]!, where, step.source);
    this.#closePath();
    const points = timedPoints(step, where, this.#reached?.altitudeMslM ?? 0);
    if (this.#reached !== null) points[0] = { ...this.#reached, timeS: 0 };
    const isFirst = this.#pieces.length === 0 && this.#early.length === 0;
    const pieces = recordedPieces(points, { isFirst, courseDeg: this.#courseDeg });
    this.#append(pieces.map((piece) => amid(piece, step.surroundings)));
    this.#reached = points.at(-1)!;
  }

  #closePath(): void {
    if (this.#legs.length === 0) return;
    this.#append(pathPieces(this.#legs, this.#courseDeg));
    this.#legs = [];
  }

  #append(pieces: readonly Piece[]): void {
    for (const piece of pieces) this.#pieces.push(piece);
    const last = pieces.at(-1)!;
    this.#courseDeg = last.motion(last.durationS).courseDeg;
  }
}

function amid(piece: Piece, surroundings: Surroundings | undefined): Piece {
  return surroundings === undefined ? piece : new PieceAmid(piece, surroundings);
}

function restAt(
  { durationS, surroundings }: HoldStep,
  { latitudeDeg, longitudeDeg, altitudeMslM }: Waypoint,
  courseDeg: number,
): Piece {
  const place = { latitudeDeg, longitudeDeg: wrapLongitudeDeg(longitudeDeg), altitudeMslM };
  const motion = { ...place, speedMps: 0, courseDeg, climbMps: 0 };
  return amid(new RestPiece(durationS, restingAt(motion, courseDeg)), surroundings);
}

function waypoint({ latitudeDeg, longitudeDeg, altitudeMslM }: Place, otherwiseM: number): Waypoint {
  return { latitudeDeg, longitudeDeg, altitudeMslM: altitudeMslM ?? otherwiseM };
}

function heightStepM(reached: Waypoint, place: Place): number {
  return place.altitudeMslM === undefined ? 0 : Math.abs(place.altitudeMslM - reached.altitudeMslM);
}

function isSamePlace(reached: Waypoint, place: Place): boolean {
  return chordM(reached, place) <= SHORTEST_LEG_M && heightStepM(reached, place) <= SAME_PLACE_M;
}

/** A jump is an error: the truth has none. */
function requireSamePlace(reached: Waypoint, place: Place, where: string, what: string): void {
  const distanceM = chordM(reached, place);
  const isHeightOnly = distanceM <= SAME_PLACE_M;
  const stepM = heightStepM(reached, place);
  if (isHeightOnly && stepM <= SAME_PLACE_M) return;
  const far = distanceM < 10_000 ? `${distanceM.toFixed(1)} m` : `${(distanceM / 1000).toFixed(0)} km`;
  throw new LodestubError({
    code: 'route.jump',
    path: where,
    summary: `${what} is elsewhere than the place reached`,
    expected: `${describe(reached)}, ${reached.altitudeMslM.toFixed(1)} m`,
    received: isHeightOnly
      ? `a height of ${place.altitudeMslM!.toFixed(1)} m, ${stepM.toFixed(1)} m from the one reached`
      : `${describe(place)}, ${far} away`,
    hint: isHeightOnly
      ? `Give the place before it the height ${place.altitudeMslM!.toFixed(1)} m.`
      : `Put { go: [${describe(place)}], speed: 5 km/h } before it.`,
  });
}

function describe({ latitudeDeg, longitudeDeg }: Place): string {
  return `${Number(latitudeDeg.toFixed(7))}, ${Number(longitudeDeg.toFixed(7))}`;
}

function withoutPlace(where: string): LodestubError {
  return new LodestubError({
    code: 'route.no-place',
    path: where,
    expected: 'a first step with a place',
    received: 'none',
    hint: 'Begin with { hold: 10 s, at: [63.4305, 10.3951, 12 m] }, a track, or a go with two places or more.',
  });
}
