import type { Surroundings } from '../surroundings.js';

/**
 * Where the antenna is and how it moves. Speed, course and climb are the time derivatives of the position.
 * Heights here are above mean sea level; {@link climbMps} is the rate of that height.
 */
export interface Motion {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly altitudeMslM: number;
  readonly speedMps: number;
  /** Course over ground, [0, 360) deg true; at rest, the course last held. */
  readonly courseDeg: number;
  readonly climbMps: number;
}

/** A time [fromS, toS) in the same surroundings. */
export interface Stretch {
  readonly fromS: number;
  readonly toS: number;
  readonly surroundings: Surroundings;
}

/** A path through time. */
export interface Trajectory {
  /** Length in time, s; after it the antenna stays where it is. */
  readonly durationS: number;
  /** The motion `tS` seconds after the start; any order of calls, fastest in ascending order. */
  at(tS: number): Motion;
  /** What the route's step of that time says of the surroundings; null: nothing. */
  surroundingsAt(tS: number): Surroundings | null;
  /** The times for which steps name surroundings, in order, s; after the route's end those of its last step stay. */
  readonly stretches: readonly Stretch[];
}
