import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import { addSeconds, gpsFromUtc, parseUtc, type Utc, utcFromGps } from '../../../src/base/time.js';
import type { Epoch, StartKind } from '../../../src/sim/epoch.js';
import type { ReceiverSettings } from '../../../src/sim/receiver/settings.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { TYPICAL_KLOBUCHAR } from '../../../src/sim/signal/atmosphere/klobuchar.js';
import { ALL_ERRORS, type ErrorSwitches, NO_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { type EpochHooks, Simulator } from '../../../src/sim/simulator.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import type { Motion, Trajectory } from '../../../src/sim/trajectory/trajectory.js';

/** What a test wants otherwise than usual. */
export interface Wish {
  readonly seed?: number;
  readonly start?: StartKind;
  /** Seconds after 2022-02-18T09:30:00Z. */
  readonly startS?: number;
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
  return { durationS: Infinity, at: () => motion, surroundingsAt: () => null };
}

/** A simulator in open sky over the reference constellation, unless the test wishes otherwise. */
export function simulator(wish: Wish = {}): Simulator {
  const gps = addSeconds(START, wish.startS ?? 0);
  const leapSeconds = wish.leapSeconds ?? PUBLISHED_LEAP_SECONDS;
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

export function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] as number;
}
