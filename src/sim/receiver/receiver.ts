import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import type { RandomStreams } from '../../base/random.js';
import type { GpsTime, Utc } from '../../base/time.js';
import type { OrbitKnowledge, Report, SatelliteInView, SatelliteTruth, StartKind } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { SatelliteView } from '../sky/sky.js';
import type { MessageListener } from './lnav-reader.js';
import { type MeasurementError, RangeErrors } from './range-errors.js';
import { ReceiverClock } from './receiver-clock.js';
import { composeReport, type ReportParts } from './report.js';
import type { ReceiverSettings } from './settings.js';
import { type Measurement, type Solution, Solver } from './solver.js';
import type { Aiding } from './thresholds.js';
import { TrackedSatellite } from './tracked-satellite.js';

/** How a receiver is made. */
export interface ReceiverOptions {
  readonly settings: ReceiverSettings;
  readonly start: StartKind;
  /** False: every range error and the clock's bias are zero. */
  readonly withErrors: boolean;
  readonly streams: RandomStreams;
  readonly intervalS: number;
}

/** The instant of an epoch, in the scales that are needed. */
export interface Instant {
  /** Seconds since the scenario's start. */
  readonly tS: number;
  readonly gps: GpsTime;
  readonly utc: Utc;
}

const NO_ERROR: MeasurementError = { errorM: 0, sigmaM: 1, rangeRateErrorMps: 0 };

/** A height from a solution with a worse vertical dilution is not remembered (common practice). */
const GOOD_VDOP = 10;

/** A solution with a horizontal dilution above this is not reported (common practice). */
const WORST_HDOP = 50;

/**
 * The module's receiver: finds signals, reads their messages, solves for position, velocity and time, and reports what
 * it can know by then and nothing else.
 */
export class Receiver {
  /** In the order of the sky's views. */
  readonly #satellites: readonly TrackedSatellite[];
  readonly #clock: ReceiverClock;
  readonly #solver = new Solver();
  readonly #pool: Measurement[] = [];
  #timeKnown = false;
  #dateKnown = false;
  /** Where the last solution was; null: no idea. */
  #place: Ecef | null = null;
  #heightM = 0;
  #searchTurn = 0;
  #nowS = 0;
  #lastSolution: Solution | null = null;
  #isOn = true;

  /**
   * @param views all satellites of the sky
   * @param place where the antenna is at the start: what a warm or hot start remembers
   */
  constructor(
    private readonly options: ReceiverOptions,
    views: readonly SatelliteView[],
    place: { readonly ecef: Ecef; readonly heightM: number },
  ) {
    const { streams, intervalS, withErrors } = options;
    this.#satellites = views.map(({ satellite }) => {
      const errors = withErrors ? new RangeErrors(satellite.id, streams, intervalS) : null;
      const tracked = new TrackedSatellite(satellite, streams.stream(`search/${satellite.id}`), errors);
      tracked.listener = this.#listener(tracked);
      return tracked;
    });
    this.#clock = new ReceiverClock(withErrors ? streams.stream('receiver-clock') : null);
    if (options.start !== 'cold') {
      this.#place = place.ecef;
      this.#heightM = place.heightM;
      this.#timeKnown = true;
      this.#dateKnown = true;
    }
    for (const satellite of this.#satellites) satellite.remember(options.start, 0);
  }

  /** Without power nothing is tracked and nothing reported. */
  powerOff(): void {
    this.#isOn = false;
    this.#lastSolution = null;
    for (const satellite of this.#satellites) satellite.restart('hot');
  }

  /** Power-up in mid-run: a warm or hot start keeps what had been known, a cold one nothing. */
  powerOn(kind: StartKind): void {
    this.#isOn = true;
    for (const satellite of this.#satellites) satellite.restart(kind);
    if (kind !== 'cold') return;
    this.#timeKnown = false;
    this.#dateKnown = false;
    this.#place = null;
    this.#heightM = 0;
  }

  /** The last epoch's solution with its formal uncertainty; null without a fix. */
  get solution(): Solution | null {
    return this.#lastSolution;
  }

  /**
   * One navigation epoch.
   * @param signals what arrives, a signal for each satellite above the horizon, in order of id
   */
  step(now: Instant, signals: readonly ArrivingSignal[]): Report {
    if (!this.#isOn) {
      // The world's errors go on without the receiver.
      for (const signal of signals) this.#of(signal).errors?.step();
      return composeReport(this.#dead);
    }
    this.#nowS = now.tS;
    this.#track(now, signals);
    const used = this.#usable(now, signals);
    this.#lastSolution = used.length >= 3 ? this.#solve(now, used) : null;
    if (this.#lastSolution !== null) for (const signal of used) this.#of(signal).state = 'used';
    const known = this.#timeKnown && this.#place !== null;
    return composeReport({
      settings: this.options.settings,
      utc: this.#timeKnown ? now.utc : null,
      dateKnown: this.#dateKnown,
      solution: this.#lastSolution,
      used: this.#lastSolution === null ? [] : used.map(({ id }) => id),
      inView: this.#inView(now, signals, known),
    });
  }

  /** The satellites of the last epoch as they truly are, with the receiver's state for each. */
  truth({ tS }: Instant, signals: readonly ArrivingSignal[]): SatelliteTruth[] {
    return signals.map((signal) => {
      const { id, azimuthDeg, elevationDeg, cn0DbHz } = signal;
      const satellite = this.#of(signal);
      const seen = satellite.state === 'hidden' ? null : cn0DbHz;
      return {
        id,
        azimuthDeg,
        elevationDeg,
        state: satellite.state,
        orbit: satellite.orbit(tS),
        signals: { L1: { cn0DbHz: seen } },
      };
    });
  }

  get #dead(): ReportParts {
    return { settings: this.options.settings, utc: null, dateKnown: false, solution: null, used: [], inView: [] };
  }

  /** Search, lock and message of every satellite; those that have set are let go. */
  #track(now: Instant, signals: readonly ArrivingSignal[]): void {
    const { tS, gps } = now;
    let at = 0;
    let free = this.options.settings.channels;
    for (let index = 0; index < this.#satellites.length; index++) {
      const satellite = this.#satellites[index] as TrackedSatellite;
      if (signals[at]?.view.index === index) at++;
      else satellite.set();
      if (satellite.channel.isBusy) free--;
    }
    // With fewer channels than satellites the search goes round, each time once a pass has been in vain.
    const turn = this.#searchTurn++;
    for (let k = 0; k < signals.length; k++) {
      const signal = signals[(k + turn) % signals.length] as ArrivingSignal;
      const satellite = this.#of(signal);
      const { isBusy } = satellite.channel;
      const maySearch = isBusy || free > 0;
      if (!maySearch) satellite.channel.release();
      else if (!isBusy) free--;
      satellite.live(tS, gps, signal, this.#aiding(satellite.orbit(tS)), maySearch);
    }
  }

  #aiding(orbit: OrbitKnowledge): Aiding {
    if (!this.#timeKnown || this.#place === null || orbit === 'none') return 'none';
    return orbit === 'ephemeris' ? 'precise' : 'almanac';
  }

  /** What the receiver learns from a satellite's message. */
  #listener(satellite: TrackedSatellite): MessageListener {
    return {
      timeOfWeek: () => {
        this.#timeKnown = true;
      },
      week: () => {
        this.#dateKnown = true;
      },
      ephemeris: () => satellite.learnEphemeris(this.#nowS),
      almanac: (number) => {
        for (const other of this.#satellites) if (other.number === number) other.learnAlmanac();
      },
    };
  }

  /** Synchronised, ephemeris known, healthy, above the mask (once the place is known, which elevation needs). */
  #usable({ tS }: Instant, signals: readonly ArrivingSignal[]): ArrivingSignal[] {
    if (!this.#timeKnown) return [];
    const maskDeg = this.#place === null ? 0 : this.options.settings.elevationMaskDeg;
    return signals.filter((signal) => {
      const satellite = this.#of(signal);
      return (
        satellite.channel.isSynchronised(tS) &&
        signal.view.satellite.healthy &&
        signal.elevationDeg >= maskDeg &&
        satellite.orbit(tS) === 'ephemeris'
      );
    });
  }

  #solve({ tS }: Instant, used: readonly ArrivingSignal[]): Solution | null {
    const clockM = this.#clock.biasS(tS) * SPEED_OF_LIGHT_MPS;
    const driftMps = this.#clock.driftSps * SPEED_OF_LIGHT_MPS;
    while (this.#pool.length < used.length) {
      const state = (used[0] as ArrivingSignal).view.state;
      this.#pool.push({ state, pseudorangeM: 0, rangeRateMps: 0, sigmaM: 1 });
    }
    for (let i = 0; i < used.length; i++) {
      const signal = used[i] as ArrivingSignal;
      const { view } = signal;
      const error = this.#of(signal).errors?.at(view, signal.cn0DbHz) ?? NO_ERROR;
      const measurement = this.#pool[i] as Measurement;
      measurement.state = view.state;
      measurement.pseudorangeM = view.rangeM + clockM + error.errorM;
      measurement.rangeRateMps = view.rangeRateMps + driftMps + error.rangeRateErrorMps;
      measurement.sigmaM = error.sigmaM;
    }
    const held = used.length === 3 ? this.#heightM : null;
    const solution =
      held !== null && this.#place === null
        ? this.#solver.solveFromNothing(this.#pool, used.length, held)
        : this.#solver.solve(this.#pool, used.length, this.#expected(), held);
    if (solution === null || solution.hdop > WORST_HDOP) return null;
    this.#place = solution.position;
    if (solution.vdop !== null && solution.vdop <= GOOD_VDOP) this.#heightM = solution.geodetic.heightM;
    return solution;
  }

  /** Where the antenna should be by now: the nearer, the sooner the solution settles. */
  #expected(): Ecef | null {
    const last = this.#lastSolution;
    if (last === null || this.#place === null) return this.#place;
    const { xMps, yMps, zMps } = last.velocity;
    const { intervalS } = this.options;
    return {
      xM: this.#place.xM + xMps * intervalS,
      yM: this.#place.yM + yMps * intervalS,
      zM: this.#place.zM + zMps * intervalS,
    };
  }

  /** Satellites that the receiver tracks, or predicts above the horizon; direction only where the orbit is known. */
  #inView({ tS }: Instant, signals: readonly ArrivingSignal[], canPredict: boolean): SatelliteInView[] {
    const list: SatelliteInView[] = [];
    for (const signal of signals) {
      const { id, azimuthDeg, elevationDeg, cn0DbHz } = signal;
      const satellite = this.#of(signal);
      const isTracked = satellite.state === 'tracking' || satellite.state === 'used';
      const isPredicted = canPredict && satellite.orbit(tS) !== 'none';
      if (!isTracked && !isPredicted) continue;
      list.push({
        id,
        azimuthDeg: isPredicted ? azimuthDeg : null,
        elevationDeg: isPredicted ? elevationDeg : null,
        cn0DbHz: isTracked ? cn0DbHz : null,
      });
    }
    return list;
  }

  #of({ view }: ArrivingSignal): TrackedSatellite {
    return this.#satellites[view.index] as TrackedSatellite;
  }
}
