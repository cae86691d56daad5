import type { Occurrence } from './inspect-report.js';

/** How far the velocity told is from the way between positions, of windows of about 10 s. */
export interface WindowFigures {
  readonly windows: number;
  /** Speed told, and way gone over the time it took, median, m/s. */
  readonly toldMps: number;
  readonly goneMps: number;
  /** Length of the vector's difference, m/s. */
  readonly medianMps: number;
  readonly p95Mps: number;
  /** The same, as a multiple of what is allowed. */
  readonly medianOfAllowed: number;
  readonly p95OfAllowed: number;
  /** Windows beyond what is allowed. */
  readonly apart: number;
}

/** Speed and course over ground against the positions; null: too little to tell. */
export interface MotionPart {
  /** Where the speed told is below 2 m/s, and where it is not. */
  readonly slow: WindowFigures | null;
  readonly moving: WindowFigures | null;
  /** Where it moves: way gone by way told, and its direction minus the course told, median. */
  readonly ratio: number | null;
  readonly courseOffDeg: number | null;
  /** The unit that the speed seems to be in, though the field is in knots; null: none stands out. */
  readonly unit: string | null;
  /** The first windows beyond what is allowed. */
  readonly examples: readonly Occurrence[];
}

/** Two sentences of an epoch, of one time of day, that both tell a place: the second against the first. */
export interface PlacePair {
  /** `RMC`, `GGA`. */
  readonly first: string;
  readonly second: string;
  readonly epochs: number;
  /** Epochs in which their places differ by more than their decimals explain. */
  readonly apart: number;
  /** Of those epochs: distance, median and largest, and the second's offset from the first, median; m. */
  readonly medianM: number | null;
  readonly largestM: number | null;
  readonly eastM: number | null;
  readonly northM: number | null;
  /** Epochs in which one tells the place that the other told an epoch before: which one; null: none does. */
  readonly late: string | null;
  readonly examples: readonly Occurrence[];
}

export interface AgreementPart {
  readonly places: readonly PlacePair[];
}
