import { DEG_PER_RAD, RAD_PER_DEG } from '../../base/constants.js';
import { polarPoint, turnDeg } from './geodesy.js';
import type { Leg } from './legs.js';
import type { Place } from './route.js';

/** A curve on the ellipsoid, by its own measure of length. */
export interface Curve {
  readonly lengthM: number;
  /** The point `distanceM` along, the true course there, and how fast the ground passes for 1 m/s along the curve. */
  at(distanceM: number): CurvePoint;
}

/** A point of a {@link Curve}. */
export interface CurvePoint {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly courseDeg: number;
  readonly stretch: number;
}

/** How a corner is taken: straight through, round a circle, or standing. */
export type Corner =
  | { readonly kind: 'straight' }
  | { readonly kind: 'pivot' }
  | {
      readonly kind: 'round';
      readonly radiusM: number;
      /** Length of leg that the arc replaces on either side, m. */
      readonly tangentM: number;
      /** Positive clockwise, rad. */
      readonly turnRad: number;
      readonly speedMps: number;
    };

/** A smaller turn is no turn: at 1000 m/s it changes the velocity by 10 micrometres a second. */
const STRAIGHT_RAD = 1e-8;
/** Above this turn, deg, an arc would run far before the corner: stop and turn instead. */
const PIVOT_ABOVE_DEG = 150;
/** Below this radius, m, an arc is a turn on the spot in all but name. */
const SMALLEST_RADIUS_M = 0.5;
/** An arc's plane is true near its corner only: the arc keeps within this distance of it, m. */
const LONGEST_TANGENT_M = 500_000;

/**
 * How to go from one leg to the next: R = v/ω, less at sharp corners, or as asked for, limited to the room there is;
 * the speed is then at most ωR.
 * @param roomM what length of leg the arc may replace on either side, m
 */
export function planCorner(into: Leg, out: Leg, roomM: number): Corner {
  const turn = turnDeg(into.line.endAzimuthDeg, out.line.startAzimuthDeg);
  const turnRad = turn * RAD_PER_DEG;
  if (Math.abs(turnRad) < STRAIGHT_RAD) return { kind: 'straight' };
  if (Math.abs(turn) > PIVOT_ABOVE_DEG) return { kind: 'pivot' };
  const speedMps = Math.min(into.surfaceSpeedMps, out.surfaceSpeedMps);
  const yawRadps = Math.min(into.manner.yawRateDegps, out.manner.yawRateDegps) * RAD_PER_DEG;
  const tanHalf = Math.tan(Math.abs(turnRad) / 2);
  const wantedM =
    out.manner.turnRadiusM ??
    into.manner.turnRadiusM ??
    Math.max((speedMps / yawRadps) * sharpness(turnRad), SMALLEST_RADIUS_M);
  const radiusM = Math.min(wantedM, Math.min(roomM, LONGEST_TANGENT_M) / tanHalf);
  if (radiusM < SMALLEST_RADIUS_M) return { kind: 'pivot' };
  return {
    kind: 'round',
    radiusM,
    tangentM: radiusM * tanHalf,
    turnRad,
    speedMps: Math.min(speedMps, radiusM * yawRadps),
  };
}

/**
 * By how much a radius is reduced at a sharp corner: an arc passes the corner at R (1 / cos(Δ/2) - 1), and a turn of
 * more than 90 deg is to cut no more off than one of 90 deg does; it is taken more slowly instead.
 */
function sharpness(turnRad: number): number {
  const cut = 1 / Math.cos(turnRad / 2) - 1;
  return Math.min(1, (Math.SQRT2 - 1) / cut);
}

/**
 * Half of the arc that rounds a corner. In the azimuthal equidistant plane about the corner both legs are straight
 * lines through the origin, and the arc is a circle tangent to both. A point of the plane goes back to the ellipsoid by
 * the direct problem; of a velocity in the plane the radial part stays, the one across is scaled by m12/s12
 * (C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013), section 3).
 */
export class FilletHalf implements Curve {
  readonly lengthM: number;
  readonly #corner: Place;
  readonly #intoAzimuthDeg: number;
  readonly #round: Extract<Corner, { kind: 'round' }>;
  readonly #offsetM: number;

  constructor(into: Leg, round: Extract<Corner, { kind: 'round' }>, half: 'first' | 'second') {
    this.lengthM = (round.radiusM * Math.abs(round.turnRad)) / 2;
    this.#corner = into.to;
    this.#intoAzimuthDeg = into.line.endAzimuthDeg;
    this.#round = round;
    this.#offsetM = half === 'first' ? 0 : this.lengthM;
  }

  at(distanceM: number): CurvePoint {
    const { radiusM, tangentM, turnRad } = this.#round;
    const side = Math.sign(turnRad);
    const turnedRad = (this.#offsetM + distanceM) / radiusM;
    const alongM = radiusM * Math.sin(turnedRad) - tangentM;
    const acrossM = 2 * radiusM * Math.sin(turnedRad / 2) ** 2;
    const radialM = Math.sqrt(alongM * alongM + acrossM * acrossM);
    const bearingRad = Math.atan2(acrossM, alongM);
    const azimuthDeg = this.#intoAzimuthDeg + side * bearingRad * DEG_PER_RAD;
    const point = polarPoint(this.#corner, azimuthDeg, radialM);
    const headingRad = side * (turnedRad - bearingRad);
    const scale = radialM > 0 ? point.reducedM / radialM : 1;
    const radial = Math.cos(headingRad);
    const across = Math.sin(headingRad) * scale;
    return {
      latitudeDeg: point.latitudeDeg,
      longitudeDeg: point.longitudeDeg,
      courseDeg: point.azimuthDeg + Math.atan2(across, radial) * DEG_PER_RAD,
      stretch: Math.sqrt(radial * radial + across * across),
    };
  }
}

/** Part of a leg's geodesic. */
export class LegPart implements Curve {
  readonly lengthM: number;
  readonly #leg: Leg;
  readonly #fromM: number;

  constructor(leg: Leg, fromM: number, lengthM: number) {
    this.#leg = leg;
    this.#fromM = fromM;
    this.lengthM = lengthM;
  }

  at(distanceM: number): CurvePoint {
    const point = this.#leg.line.at(this.#fromM + distanceM);
    return {
      latitudeDeg: point.latitudeDeg,
      longitudeDeg: point.longitudeDeg,
      courseDeg: point.azimuthDeg,
      stretch: 1,
    };
  }
}
