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

/** A satellite system, named as the scenario does. */
export type SystemName = 'gps';

/** One satellite of the sky. */
export interface Satellite {
  /** As RINEX names it: G05. */
  readonly id: string;
  readonly system: SystemName;
  /** Number within its system. */
  readonly number: number;
  /** False: it transmits, and says that it must not be used. */
  readonly healthy: boolean;
  readonly orbit: Orbit;
  /** Typical travel time of its signal, s: the instant at which its orbit is evaluated first. */
  readonly travelS: number;
}

/** RINEX name of a satellite: G05. */
export function satelliteId(system: SystemName, number: number): string {
  return `${LETTERS[system]}${String(number).padStart(2, '0')}`;
}

const LETTERS: Readonly<Record<SystemName, string>> = { gps: 'G' };
