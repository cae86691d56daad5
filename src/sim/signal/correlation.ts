/** How soon something that waves make is another: reflections, fading. */
export interface Decorrelation {
  /** Correlation time at rest, s, and the way after which it is another, m. */
  readonly restS: number;
  readonly wayM: number;
}

/** Correlation time of something that changes with time at rest and with the way while moving, s. */
export function correlationS({ restS, wayM }: Decorrelation, speedMps: number): number {
  return 1 / (1 / restS + speedMps / wayM);
}
