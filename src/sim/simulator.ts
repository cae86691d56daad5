import { RAD_PER_DEG } from '../base/constants.js';
import { type Ecef, ecefFromGeodetic, LocalFrame } from '../base/frames.js';
import type { LeapSeconds } from '../base/leap-seconds.js';
import { RandomStreams } from '../base/random.js';
import { addSeconds, type GpsTime, gpsFromUtc, type Utc, utcFromGps } from '../base/time.js';
import type { Epoch, Report, StartKind, Truth } from './epoch.js';
import { geoidSeparationM } from './geoid.js';
import { hears } from './receiver/hears.js';
import { Receiver } from './receiver/receiver.js';
import type { ReceiverSettings } from './receiver/settings.js';
import type { ArrivingSignal } from './signal/arriving-signal.js';
import type { KlobucharCoefficients } from './signal/atmosphere/klobuchar.js';
import type { ErrorSwitches } from './signal/error-switches.js';
import { Signals } from './signal/signal.js';
import type { Satellite } from './sky/orbit.js';
import { type AntennaFrame, Sky } from './sky/sky.js';
import { OPEN_SKY, type Surroundings } from './surroundings.js';
import type { Motion, Trajectory } from './trajectory/trajectory.js';

/** What a simulation is made of. */
export interface SimulatorOptions {
  readonly seed: number;
  readonly start: Utc;
  readonly leapSeconds: LeapSeconds;
  readonly epochMs: number;
  readonly trajectory: Trajectory;
  readonly satellites: readonly Satellite[];
  readonly receiver: ReceiverSettings;
  readonly receiverStart: StartKind;
  readonly errors: ErrorSwitches;
  /** The ionosphere as satellites broadcast it. */
  readonly klobuchar: KlobucharCoefficients;
  /** Someone asks for raw measurements. */
  readonly withObservations: boolean;
}

/** Where others act on an epoch: surroundings of the antenna, faults of signal and receiver. */
export interface EpochHooks {
  readonly surroundings?: (atMs: number) => Surroundings;
  readonly signals?: (signals: readonly ArrivingSignal[], atMs: number, antenna: AntennaFrame) => void;
  readonly report?: (report: Report, atMs: number, truth: Truth) => Report;
  /** False: nobody looks at an epoch's satellites, and the list is left empty. */
  readonly isWatched?: boolean;
}

const NOBODY_LOOKS: readonly never[] = [];

/** Moves antenna, satellites and receiver from epoch to epoch. */
export class Simulator {
  readonly start: GpsTime;
  readonly receiver: Receiver;
  readonly #sky: Sky;
  readonly #signals: Signals;
  readonly #arriving: ArrivingSignal[] = [];
  readonly #options: SimulatorOptions;
  readonly #hooks: EpochHooks;
  /** From the epoch before to the present one; shared by all that goes on from epoch to epoch. */
  readonly #interval: { lengthS: number };
  #index = 0;
  #lastMs: number | null = null;
  #nextMs = 0;
  #epochMs: number;
  #atRest: { motion: Motion; truth: Truth; frame: AntennaFrame } | null = null;

  constructor(options: SimulatorOptions, hooks: EpochHooks = {}) {
    this.#options = options;
    this.#epochMs = options.epochMs;
    this.#hooks = hooks;
    const { start, leapSeconds, receiver: settings, errors, klobuchar } = options;
    this.start = gpsFromUtc(start, leapSeconds);
    const streams = new RandomStreams(options.seed);
    const interval = { lengthS: options.epochMs / 1000 };
    this.#interval = interval;
    this.#sky = new Sky(options.satellites.filter(({ system }) => hears(settings, system)));
    const { views } = this.#sky;
    this.#signals = new Signals(
      views.map(({ satellite }) => satellite),
      settings.antenna,
      settings.bands,
      streams,
      interval,
    );
    const { truth, frame } = this.#place(options.trajectory.at(0));
    this.receiver = new Receiver(
      { settings, start: options.receiverStart, errors, klobuchar, leapSeconds, streams, interval },
      views,
      this.start,
      { ecef: frame.position, heightM: truth.heightEllipsoidM },
    );
  }

  /** From here on epochs come at another interval, ms. */
  changeInterval(epochMs: number): void {
    this.#epochMs = epochMs;
  }

  /** Epochs done so far. */
  get epochs(): number {
    return this.#index;
  }

  /** The next epoch. @param atMs since the start; default: an interval after the one before, the first at the start */
  next(atMs = this.#nextMs): Epoch {
    const index = this.#index++;
    // After a change of the rate the first interval is neither the old one nor the new one.
    if (this.#lastMs !== null) this.#interval.lengthS = (atMs - this.#lastMs) / 1000;
    this.#lastMs = atMs;
    this.#nextMs = atMs + this.#epochMs;
    const tS = atMs / 1000;
    const gps = addSeconds(this.start, tS);
    const { trajectory, leapSeconds, withObservations } = this.#options;
    const utc = utcFromGps(gps, leapSeconds);
    const { truth, frame } = this.#place(trajectory.at(tS));
    this.#sky.look(tS, frame);
    const surroundings = this.#hooks.surroundings?.(atMs) ?? OPEN_SKY;
    const { courseDeg, speedMps } = truth;
    this.#signals.arriving(this.#sky.views, { surroundings, courseDeg, speedMps }, this.#arriving);
    this.#hooks.signals?.(this.#arriving, atMs, frame);
    const now = { tS, gps, truth, frame };
    const report = this.receiver.step(now, this.#arriving);
    return {
      index,
      atMs,
      gpsTime: gps,
      utc,
      truth,
      report: this.#hooks.report?.(report, atMs, truth) ?? report,
      receiverClock: this.receiver.clock,
      satellites: this.#hooks.isWatched === false ? NOBODY_LOOKS : this.receiver.truth(now, this.#arriving),
      observations: withObservations ? this.receiver.observations(now) : NOBODY_LOOKS,
    };
  }

  /** The truth of a motion; at rest the trajectory gives the same object again, and so does this. */
  #place(motion: Motion): { truth: Truth; frame: AntennaFrame } {
    if (this.#atRest?.motion === motion) return this.#atRest;
    const { latitudeDeg, longitudeDeg, altitudeMslM, speedMps, courseDeg } = motion;
    const separationM = geoidSeparationM(latitudeDeg, longitudeDeg);
    const heightEllipsoidM = altitudeMslM + separationM;
    const climbMps = motion.climbMps + geoidRateMps(motion, separationM);
    const courseRad = courseDeg * RAD_PER_DEG;
    const velocity = new LocalFrame(latitudeDeg, longitudeDeg).toEcef({
      eastM: speedMps * Math.sin(courseRad),
      northM: speedMps * Math.cos(courseRad),
      upM: climbMps,
    });
    const position: Ecef = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM });
    const frame = {
      position,
      velocity,
      latitudeRad: latitudeDeg * RAD_PER_DEG,
      longitudeRad: longitudeDeg * RAD_PER_DEG,
    };
    const truth = { latitudeDeg, longitudeDeg, heightEllipsoidM, altitudeMslM, speedMps, courseDeg, climbMps };
    this.#atRest = { motion, truth, frame };
    return this.#atRest;
  }
}

/** Metres in a degree of latitude, roughly: for the slope of the geoid only. */
const DEGREE_M = 111_200;

/** How fast the geoid rises under a moving antenna: the slope along the way ahead. */
function geoidRateMps({ latitudeDeg, longitudeDeg, speedMps, courseDeg }: Motion, separationM: number): number {
  if (speedMps === 0) return 0;
  const aheadM = 10;
  const courseRad = courseDeg * RAD_PER_DEG;
  const cosLat = Math.max(0.01, Math.cos(latitudeDeg * RAD_PER_DEG));
  const latitudeAheadDeg = Math.min(90, Math.max(-90, latitudeDeg + (aheadM * Math.cos(courseRad)) / DEGREE_M));
  const longitudeAheadDeg = longitudeDeg + (aheadM * Math.sin(courseRad)) / (DEGREE_M * cosLat);
  return ((geoidSeparationM(latitudeAheadDeg, longitudeAheadDeg) - separationM) / aheadM) * speedMps;
}
