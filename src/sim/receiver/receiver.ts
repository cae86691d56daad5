import { DEG_PER_RAD, SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import { addSeconds, type GpsTime } from '../../base/time.js';
import type {
  Heading,
  Observation,
  OrbitKnowledge,
  ReceiverClockTruth,
  Report,
  SatelliteTruth,
  StartKind,
} from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { SatelliteView } from '../sky/sky.js';
import { SBAS_FIRST_PRN, type SystemName } from '../sky/system.js';
import { HeadingSensor } from './heading.js';
import { Knowledge } from './knowledge.js';
import type { MessageListener } from './message/plan.js';
import { RawMeasurements } from './observations.js';
import { type Fix, Positioning } from './positioning.js';
import { Ranges } from './ranges.js';
import { ReceiverClock } from './receiver-clock.js';
import type { Instant, ReceiverOptions } from './receiver-options.js';
import { composeReport } from './report.js';
import { inViewOf, truthOf } from './satellite-lists.js';
import { type Reported, Smoothing } from './smoothing.js';
import type { Solution } from './solution.js';
import type { Aiding } from './thresholds.js';
import type { TrackedSatellite } from './tracked-satellite.js';
import { type Arrival, Tracker } from './tracker.js';

/** A solved time that differs by less from the true one is taken as it, s: noise of the solution. */
const TIME_NOISE_S = 1e-5;

/**
 * The module's receiver: finds signals, reads their messages, solves for position, velocity and time, and reports what
 * it can know by then and nothing else.
 */
export class Receiver {
  readonly #options: ReceiverOptions;
  readonly #tracker: Tracker;
  readonly #clock: ReceiverClock;
  readonly #knowledge: Knowledge;
  readonly #positioning = new Positioning();
  readonly #smoothing: Smoothing;
  readonly #heading: HeadingSensor;
  readonly #raw: RawMeasurements;
  readonly #byId = new Map<string, TrackedSatellite>();
  readonly #usable: Arrival[] = [];
  readonly #usedBySystem = new Map<SystemName, number>();
  readonly #ranges: Ranges;
  #now: Instant | null = null;
  #fix: Fix | null = null;
  /** The last place that was reported; null: none since power-up. */
  #lastPlace: Reported | null = null;
  /** What the receiver believes GPS time to be, less what it is, s: not zero under a false sky. */
  #timeOffsetS = 0;
  #isOn = true;

  /**
   * @param views all satellites of the sky
   * @param place where the antenna is at the start: what a warm or hot start remembers
   */
  constructor(
    options: ReceiverOptions,
    views: readonly SatelliteView[],
    start: GpsTime,
    place: { readonly ecef: Ecef; readonly heightM: number },
  ) {
    const { settings, streams, interval, errors, leapSeconds } = options;
    this.#options = options;
    this.#tracker = new Tracker(settings, views, options, (satellite, view) => this.#listener(satellite, view));
    this.#clock = new ReceiverClock(errors.receiverClock ? streams.stream('receiver-clock') : null);
    this.#knowledge = new Knowledge(settings, leapSeconds);
    this.#smoothing = new Smoothing(settings.smoothing);
    this.#heading = new HeadingSensor(streams.stream('heading'), interval);
    this.#raw = new RawMeasurements(streams, start);
    this.#ranges = new Ranges(options);
    if (options.start !== 'cold') this.#positioning.remember(place.ecef, place.heightM);
    this.#knowledge.start(options.start, start, views[0]?.satellite.system);
    for (const satellite of this.#tracker.satellites) {
      satellite.remember(options.start, 0);
      this.#byId.set(satellite.id, satellite);
    }
    for (const { satellite } of views) this.#usedBySystem.set(satellite.system, 0);
  }

  /** Without power nothing is tracked and nothing reported. */
  powerOff(): void {
    this.#isOn = false;
    this.#fix = null;
    this.#ranges.forgetCorrections();
    this.#positioning.interrupt();
    this.#smoothing.reset();
    this.#lastPlace = null;
    this.#heading.forget();
    this.#tracker.restart('hot');
  }

  /** Power-up in mid-run: a warm or hot start keeps what had been known, a cold one nothing. */
  powerOn(kind: StartKind): void {
    this.#isOn = true;
    this.#tracker.restart(kind);
    this.#knowledge.restart(kind);
    if (kind !== 'cold') return;
    this.#positioning.forget();
    this.#timeOffsetS = 0;
  }

  /** The last epoch's solution with its formal uncertainty; null without a fix. */
  get solution(): Solution | null {
    return this.#fix?.solution ?? null;
  }

  /** The receiver's own clock at the last epoch. */
  get clock(): ReceiverClockTruth {
    return { biasS: this.#clock.biasS, driftSps: this.#clock.driftSps };
  }

  /**
   * One navigation epoch.
   * @param signals what arrives, those of each satellite above the horizon together, in the order of the sky's views
   */
  step(now: Instant, signals: readonly ArrivingSignal[]): Report {
    this.#now = now;
    this.#clock.advance(now.tS);
    this.#tracker.take(signals);
    this.#ranges.step(now, this.#tracker.arrivals);
    if (!this.#isOn) return this.#dead();
    this.#tracker.track(now.tS, now.gps, signals, this.#aidingOf);
    this.#fix = this.#solve(now);
    const place = this.#smoothing.update(this.solution, this.#options.interval.lengthS);
    return this.#report(now, place);
  }

  /** The satellites of the last epoch as they truly are, with the receiver's state for each. */
  truth({ tS }: Instant, signals: readonly ArrivingSignal[]): SatelliteTruth[] {
    return this.#tracker.arrivals.map((arrival) => {
      const isTracked = this.#isOn && arrival.locked.length > 0;
      return truthOf(arrival, tS, signals, isTracked ? this.#ranges.terms(arrival.view, arrival.locked) : null);
    });
  }

  /** Raw measurements of every signal that is locked and synchronised. */
  observations({ tS }: Instant): Observation[] {
    if (!this.#isOn) return [];
    const clock = this.clock;
    const list: Observation[] = [];
    for (const { satellite, view, measured } of this.#tracker.arrivals) {
      if (satellite.state === 'hidden' || satellite.state === 'searching') continue;
      for (const signal of measured) {
        const lockedAtS = satellite.channelOf(signal.kind)?.lockedAtS ?? tS;
        list.push(this.#raw.of(signal, tS, lockedAtS, clock, this.#ranges.errorsOf(view)));
      }
    }
    return list;
  }

  readonly #aidingOf = (orbit: OrbitKnowledge): Aiding => {
    if (!this.#knowledge.timeKnown || this.#positioning.place === null || orbit === 'none') return 'none';
    return orbit === 'ephemeris' ? 'precise' : 'almanac';
  };

  /** What the receiver learns from a satellite's message. */
  #listener(tracked: TrackedSatellite, { satellite }: SatelliteView): MessageListener {
    const now = () => this.#now as Instant;
    return {
      timeOfWeek: () => this.#knowledge.learnTime(),
      date: () => this.#knowledge.learnDate(satellite.system, now().gps),
      ephemeris: () => tracked.learnEphemeris(now().tS),
      leapSeconds: () => this.#knowledge.learnLeap(),
      almanac: (id) => {
        this.#byId.get(id)?.learnAlmanac();
      },
      corrections: () => this.#ranges.correctFrom(satellite.number + SBAS_FIRST_PRN),
    };
  }

  #solve(now: Instant): Fix | null {
    const { tS } = now;
    const fix = this.#knowledge.timeKnown
      ? this.#positioning.solve(tS, this.#chooseUsable(tS), this.#clock, this.#ranges)
      : null;
    this.#markUsed(fix?.used ?? []);
    if (fix === null) return null;
    const offsetS = this.#clock.biasS - fix.solution.clockBiasM / SPEED_OF_LIGHT_MPS;
    this.#timeOffsetS = Math.abs(offsetS) < TIME_NOISE_S ? 0 : offsetS;
    return fix;
  }

  #markUsed(used: readonly Arrival[]): void {
    for (const system of this.#usedBySystem.keys()) this.#usedBySystem.set(system, 0);
    for (const { satellite, view } of used) {
      satellite.state = 'used';
      const { system } = view.satellite;
      this.#usedBySystem.set(system, (this.#usedBySystem.get(system) as number) + 1);
    }
  }

  /**
   * Satellites that can be used: synchronised, ephemeris known, healthy, above the mask (once the place is known, which
   * elevation needs). SBAS satellites send corrections and are not ranged to, which is what modules do as a rule.
   */
  #chooseUsable(tS: number): readonly Arrival[] {
    const maskDeg = this.#positioning.place === null ? 0 : this.#options.settings.elevationMaskDeg;
    const usable = this.#usable;
    usable.length = 0;
    for (const arrival of this.#tracker.arrivals) {
      const { satellite, view, measured } = arrival;
      if (measured.length === 0 || !view.isHealthy || view.elevationDeg < maskDeg) continue;
      if (view.satellite.system === 'sbas' || satellite.orbit(tS) !== 'ephemeris') continue;
      usable.push(arrival);
    }
    return usable;
  }

  #report(now: Instant, place: Reported | null): Report {
    const { settings } = this.#options;
    const knowledge = this.#knowledge;
    const gps = this.#timeOffsetS === 0 ? now.gps : addSeconds(now.gps, this.#timeOffsetS);
    const fix = this.#fix;
    this.#lastPlace = place ?? this.#lastPlace;
    const isKnown = knowledge.timeKnown && this.#positioning.place !== null;
    return composeReport({
      settings,
      time: { utc: knowledge.utcOf(gps), minuteS: knowledge.minuteS(gps), dateKnown: knowledge.dateKnown },
      place,
      lastPlace: settings.positionWhenLost === 'last' ? this.#lastPlace : null,
      solution: fix?.solution ?? null,
      used: fix === null ? [] : fix.used.map(({ satellite }) => satellite.id),
      residualsM: fix?.residualsM ?? [],
      suspect: fix?.suspect ?? null,
      differential: this.#differential(),
      usedBySystem: this.#usedBySystem,
      heading: this.#headingAt(now, place),
      inView: inViewOf(this.#tracker.arrivals, now.tS, isKnown),
    });
  }

  #differential(): Report['differential'] {
    const { correctionAgeS: ageS, station } = this.#ranges;
    if (ageS === null || station === null || (this.#usedBySystem.get('gps') ?? 0) === 0) return null;
    return { ageS, station };
  }

  /** A heading as the module has it; null: none now. */
  #headingAt({ tS, truth }: Instant, place: Reported | null): Heading | null {
    const { heading, courseMinSpeedMps } = this.#options.settings;
    if (heading === 'none') return null;
    if (place !== null && heading === 'two-antennas' && this.#fix !== null) {
      return this.#heading.fromTwoAntennas(tS, truth.courseDeg, !this.#options.errors.noise);
    }
    if (place !== null && heading === 'course') {
      const { eastMps, northMps } = place;
      if (Math.hypot(eastMps, northMps) >= courseMinSpeedMps) {
        return this.#heading.from(tS, Math.atan2(eastMps, northMps) * DEG_PER_RAD);
      }
    }
    this.#heading.forget();
    return null;
  }

  #dead(): Report {
    const time = { utc: null, minuteS: 60, dateKnown: false } as const;
    this.#markUsed([]);
    return composeReport({
      settings: this.#options.settings,
      time,
      place: null,
      lastPlace: null,
      solution: null,
      used: [],
      residualsM: [],
      suspect: null,
      differential: null,
      usedBySystem: this.#usedBySystem,
      heading: null,
      inView: [],
    });
  }
}
