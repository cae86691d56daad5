import type { Surroundings } from '../surroundings.js';
import { turnDeg, wrapCourseDeg } from './geodesy.js';
import type { Motion } from './trajectory.js';

/** A stretch of time with one law of motion. */
export interface Piece {
  readonly durationS: number;
  /** The motion `sinceS` seconds after the piece's start, 0 to {@link durationS}. */
  motion(sinceS: number): Motion;
  /** Where the step that it belongs to names them. */
  readonly surroundings?: Surroundings | undefined;
}

/** A piece in surroundings. */
export class PieceAmid implements Piece {
  readonly durationS: number;

  constructor(
    private readonly piece: Piece,
    readonly surroundings: Surroundings,
  ) {
    this.durationS = piece.durationS;
  }

  motion(sinceS: number): Motion {
    return this.piece.motion(sinceS);
  }
}

/** The same place, at rest, with another course. */
export function restingAt(motion: Motion, courseDeg: number): Motion {
  return Object.freeze({ ...motion, courseDeg, speedMps: 0, climbMps: 0 });
}

/** Standing still: always the same frozen object. */
export class RestPiece implements Piece {
  readonly durationS: number;
  readonly #motion: Motion;

  constructor(durationS: number, motion: Motion) {
    this.durationS = durationS;
    this.#motion = motion;
  }

  motion(): Motion {
    return this.#motion;
  }
}

/** Turning on the spot at a constant rate, by the shorter way. */
export class PivotPiece implements Piece {
  readonly durationS: number;
  readonly #from: Motion;
  readonly #rateDegps: number;

  constructor(from: Motion, toCourseDeg: number, yawRateDegps: number) {
    const turn = turnDeg(from.courseDeg, toCourseDeg);
    this.durationS = Math.abs(turn) / yawRateDegps;
    this.#from = from;
    this.#rateDegps = turn < 0 ? -yawRateDegps : yawRateDegps;
  }

  motion(sinceS: number): Motion {
    return restingAt(this.#from, wrapCourseDeg(this.#from.courseDeg + this.#rateDegps * sinceS));
  }
}
