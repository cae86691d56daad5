import type { LeapSeconds } from '../../base/leap-seconds.js';
import type { RandomStreams, SampleInterval } from '../../base/random.js';
import type { GpsTime } from '../../base/time.js';
import type { StartKind, Truth } from '../epoch.js';
import type { KlobucharCoefficients } from '../signal/atmosphere/klobuchar.js';
import type { ErrorSwitches } from '../signal/error-switches.js';
import type { AntennaFrame } from '../sky/sky.js';
import type { ReceiverSettings } from './settings.js';

/** How a receiver is made. */
export interface ReceiverOptions {
  readonly settings: ReceiverSettings;
  readonly start: StartKind;
  readonly errors: ErrorSwitches;
  readonly klobuchar: KlobucharCoefficients;
  readonly leapSeconds: LeapSeconds;
  readonly streams: RandomStreams;
  /** From the epoch before to the present one; changes with it. */
  readonly interval: SampleInterval;
}

/** The instant of an epoch, with where the antenna truly is. */
export interface Instant {
  /** Seconds since the scenario's start. */
  readonly tS: number;
  readonly gps: GpsTime;
  readonly truth: Truth;
  readonly frame: AntennaFrame;
}
