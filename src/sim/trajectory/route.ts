import type { Surroundings } from '../surroundings.js';

/** A place on the map; `altitudeMslM` absent where the scenario names no height. */
export interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly altitudeMslM?: number;
}

/** One point of a recorded track; `timeS` counts from the first point. */
export interface TrackPoint extends Place {
  readonly timeS?: number;
}

/** What every step may have. */
interface AnyStep {
  /** What stands around the antenna on the way; absent: as the scenario says. */
  readonly surroundings?: Surroundings;
}

/** Stand still; `at` only where it is the route's first step, or the place already reached. */
export interface HoldStep extends AnyStep {
  readonly kind: 'hold';
  readonly durationS: number;
  readonly at?: Place;
}

/** Follow the geodesics through `via` in order, from the place reached. */
export interface GoStep extends AnyStep {
  readonly kind: 'go';
  readonly via: readonly Place[];
  readonly speedMps: number;
  readonly accelerationMps2: number;
  /** Radius of the turns between legs, m; absent: as small as the yaw rate allows. */
  readonly turnRadiusM?: number;
  readonly yawRateDegps: number;
}

/** Follow a recorded track: by its own time differences, or at `speedMps`. */
export interface TrackStep extends AnyStep {
  readonly kind: 'track';
  readonly points: readonly TrackPoint[];
  /** Where it came from, for messages. */
  readonly source: string;
  readonly speedMps?: number;
  readonly accelerationMps2: number;
  readonly yawRateDegps: number;
}

/** The same steps several times over; its surroundings are those of the steps that name none. */
export interface RepeatStep extends AnyStep {
  readonly kind: 'repeat';
  readonly times: number;
  readonly steps: readonly RouteStep[];
}

export type RouteStep = HoldStep | GoStep | TrackStep | RepeatStep;
