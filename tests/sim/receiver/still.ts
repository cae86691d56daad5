import { ecefFromGeodetic, LocalFrame } from '../../../src/base/frames.js';
import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import { addSeconds, gpsFromUtc, parseUtc, type Utc, utcFromGps } from '../../../src/base/time.js';
import type { Epoch, StartKind } from '../../../src/sim/epoch.js';
import type { ReceiverSettings } from '../../../src/sim/receiver/settings.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { TYPICAL_KLOBUCHAR } from '../../../src/sim/signal/atmosphere/klobuchar.js';
import { ALL_ERRORS, type ErrorSwitches, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { type EpochHooks, Simulator } from '../../../src/sim/simulator.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import type { Motion, Trajectory } from '../../../src/sim/trajectory/trajectory.js';
import { inverse } from '../../authorities/dop.js';

/** What a test wants otherwise than usual. */
export interface Wish {
  readonly seed?: number;
  readonly start?: StartKind;
  /** Seconds after 2022-02-18T09:30:00Z, or after {@link startUtc}. */
  readonly startS?: number;
  readonly startUtc?: string;
  readonly withErrors?: boolean;
  readonly errors?: ErrorSwitches;
  readonly systems?: readonly SystemName[];
  readonly leapSeconds?: LeapSeconds;
  readonly withObservations?: boolean;
  readonly epochMs?: number;
  readonly at?: Partial<Motion>;
  readonly trajectory?: Trajectory;
  readonly receiver?: Partial<ReceiverSettings>;
  readonly satellites?: (all: Satellite[]) => Satellite[];
  readonly hooks?: EpochHooks;
}

export const START = gpsFromUtc(parseUtc('2022-02-18T09:30:00Z'));

const RECEIVER: ReceiverSettings = {
  elevationMaskDeg: 5,
  channels: 128,
  systems: null,
  bands: ['L1'],
  antenna: 'patch',
  courseMinSpeedMps: 0.3,
  simulatorFlags: false,
  smoothing: { holdBelowMps: null, lowPassS: 0, deadReckoningS: 0 },
  sbasCorrections: false,
  heading: 'none',
  geoidSeparation: 'model',
  tellsAltitude: true,
  positionWhenLost: 'blank',
  estimatedStatus: 'A',
  assumedLeapSeconds: null,
  firmwareWeek: null,
};

const PLACE: Motion = {
  latitudeDeg: 63.4305,
  longitudeDeg: 10.3951,
  altitudeMslM: 12,
  speedMps: 0,
  courseDeg: 0,
  climbMps: 0,
};

/** An antenna that stays where it is. */
export function still(at: Partial<Motion> = {}): Trajectory {
  const motion = { ...PLACE, ...at };
  return { durationS: Infinity, at: () => motion, surroundingsAt: () => null, stretches: [] };
}

/** A simulator in open sky over the reference constellation, unless the test wishes otherwise. */
export function simulator(wish: Wish = {}): Simulator {
  const leapSeconds = wish.leapSeconds ?? PUBLISHED_LEAP_SECONDS;
  const from = wish.startUtc === undefined ? START : gpsFromUtc(parseUtc(wish.startUtc), leapSeconds);
  const gps = addSeconds(from, wish.startS ?? 0);
  const start: Utc = utcFromGps(gps, leapSeconds);
  const satellites = referenceSatellites(wish.systems ?? ['gps'], gps, leapSeconds);
  return new Simulator(
    {
      seed: wish.seed ?? 1,
      start,
      leapSeconds,
      epochMs: wish.epochMs ?? 1000,
      trajectory: wish.trajectory ?? still(wish.at),
      satellites: wish.satellites?.(satellites) ?? satellites,
      receiver: { ...RECEIVER, ...wish.receiver },
      receiverStart: wish.start ?? 'hot',
      errors: wish.errors ?? (wish.withErrors === false ? NO_ERRORS : ALL_ERRORS),
      klobuchar: TYPICAL_KLOBUCHAR,
      withObservations: wish.withObservations ?? false,
    },
    wish.hooks,
  );
}

/** The next so many epochs. */
export function epochs(from: Simulator, count: number): Epoch[] {
  return Array.from({ length: count }, () => from.next());
}

/** The first epoch that fits, or null after so many. */
export function firstWhere(from: Simulator, fits: (epoch: Epoch) => boolean, limit: number): Epoch | null {
  for (let i = 0; i < limit; i++) {
    const epoch = from.next();
    if (fits(epoch)) return epoch;
  }
  return null;
}

/** A hook that lets only the first `count()` of the satellites above 20 deg through. */
export function only(count: (atMs: number) => number): EpochHooks {
  return {
    signals: (signals: readonly ArrivingSignal[], atMs) => {
      let left = count(atMs);
      for (const signal of signals) {
        if (signal.elevationDeg > 20 && left-- > 0) continue;
        signal.cn0DbHz = -Infinity;
      }
    },
  };
}

export function isTracked(state: string): boolean {
  return state === 'tracking' || state === 'used';
}

/** The most satellites tracked at a time. */
export function trackedMost(all: readonly Epoch[]): number {
  return Math.max(...all.map(({ satellites }) => satellites.filter(({ state }) => isTracked(state)).length));
}

export function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] as number;
}

/** Reported less true place in east, north, up, m. */
export function errorOf({ report, truth }: Epoch): { eastM: number; northM: number; upM: number } {
  const reported = ecefFromGeodetic({
    latitudeDeg: report.latitudeDeg as number,
    longitudeDeg: report.longitudeDeg as number,
    heightM: (report.altitudeMslM as number) + (report.geoidSeparationM as number),
  });
  const { latitudeDeg, longitudeDeg, heightEllipsoidM } = truth;
  const real = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM });
  return new LocalFrame(latitudeDeg, longitudeDeg).toEnu(
    reported.xM - real.xM,
    reported.yM - real.yM,
    reported.zM - real.zM,
  );
}

/** How far the reported place is from the true one on the ground, m. */
export function offM(epoch: Epoch): number {
  const { eastM, northM } = errorOf(epoch);
  return Math.hypot(eastM, northM);
}

/** Square of the error in space over the solution's covariance: chi-square with 3 degrees. */
export function normalisedSquare(epoch: Epoch, { covariance: c }: Solution): number {
  const { eastM, northM, upM } = errorOf(epoch);
  const q = inverse([
    [c.eastM2, c.eastNorthM2, c.eastUpM2 as number],
    [c.eastNorthM2, c.northM2, c.northUpM2 as number],
    [c.eastUpM2 as number, c.northUpM2 as number, c.upM2 as number],
  ]);
  const error = [eastM, northM, upM];
  return error.reduce((sum, a, r) => sum + error.reduce((part, b, k) => part + a * b * q[r]![k]!, 0), 0);
}

/** Root of the mean of the squares. */
export function rms(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}

/** Every number in a structure. */
export function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : [];
}

/** Speed along {@link EASTWARD}. */
export const SPEED_MPS = 20;
/** Metres in a degree of longitude on the equator. */
const DEGREE_M = 111_319.4908;

/** East along the equator. */
export const EASTWARD: Trajectory = {
  durationS: Infinity,
  at: (tS) => ({
    latitudeDeg: 0,
    longitudeDeg: 10 + (tS * SPEED_MPS) / DEGREE_M,
    altitudeMslM: 100,
    speedMps: SPEED_MPS,
    courseDeg: 90,
    climbMps: 0,
  }),
  surroundingsAt: () => null,
  stretches: [],
};
