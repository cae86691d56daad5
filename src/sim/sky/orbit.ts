import type { BroadcastRecord } from './broadcast-record.js';
import type { SystemName } from './system.js';

/** Position and velocity in ECEF; filled in place, since thousands a second are computed. */
export interface OrbitState {
  xM: number;
  yM: number;
  zM: number;
  vxMps: number;
  vyMps: number;
  vzMps: number;
}

/** A satellite's motion, whatever it is computed from: elements, a broadcast message, an integration. */
export interface Orbit {
  /** The antenna's phase centre `sinceStartS` after the scenario's start, in the Earth-fixed frame of that instant. */
  stateAt(sinceStartS: number, out: OrbitState): void;
}

/** What a satellite says of itself: the records that orbit and clock follow from. */
export interface Broadcast {
  /** The record in force `sinceStartS` after the start: nearest by time, or made for the time. */
  recordAt(sinceStartS: number): BroadcastRecord;
  /** All records that a receiver could use from `fromS` to `untilS` after the start, ascending in time. */
  records(fromS: number, untilS: number): readonly BroadcastRecord[];
}

/** Which orbit it is on, for travel time and link budget. */
export type OrbitClass = 'meo' | 'igso' | 'geo';

/** One satellite of the sky. */
export interface Satellite {
  /** As RINEX names it: G05. */
  readonly id: string;
  readonly system: SystemName;
  /** Number within its system, as RINEX counts. */
  readonly number: number;
  readonly orbitClass: OrbitClass;
  /** GLONASS: frequency number, -7 to 6; else 0. */
  readonly frequencyNumber: number;
  readonly orbit: Orbit;
  readonly broadcast: Broadcast;
  /**
   * Whether it sends at all (`absent`: a navigation file knows it only at other times), and whether it says that it
   * may be used.
   */
  statusAt(sinceStartS: number): 'healthy' | 'unhealthy' | 'absent';
  /** Typical travel time of its signal, s: the instant at which its orbit is evaluated first. */
  readonly travelS: number;
}
