import type { LeapSeconds } from '../../../base/leap-seconds.js';
import type { GpsTime } from '../../../base/time.js';

/** What the reference constellations are made for. */
export interface ReferenceContext {
  readonly start: GpsTime;
  readonly leap: LeapSeconds;
  /** Satellites that say of themselves that they must not be used. */
  readonly outOfService: readonly string[];
}
