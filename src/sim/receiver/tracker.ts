import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { LeapSeconds } from '../../base/leap-seconds.js';
import type { RandomStreams, SampleInterval } from '../../base/random.js';
import { addSeconds, type GpsTime } from '../../base/time.js';
import type { OrbitKnowledge, StartKind } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import { signalsOf } from '../signal/signal-kind.js';
import type { SatelliteView } from '../sky/sky.js';
import type { MessageListener } from './message/plan.js';
import type { ReceiverSettings } from './settings.js';
import type { Aiding } from './thresholds.js';
import { TrackedSatellite } from './tracked-satellite.js';

/** One satellite above the horizon, with its signals of an epoch. */
export interface Arrival {
  satellite: TrackedSatellite;
  view: SatelliteView;
  /** Place of its first signal in the epoch's list, and how many it has. */
  from: number;
  count: number;
  /** Those whose channels are locked, and those that measure too, the satellite's first one first. */
  readonly locked: ArrivingSignal[];
  readonly measured: ArrivingSignal[];
}

/** A signal that jumps by more from one epoch to the next is lost, m: half a chip of the C/A code. */
const JUMP_M = 150;

/** Of a false signal whose time is further off, the message tells a false time too, m: a millisecond. */
const MESSAGE_JUMP_M = 0.001 * SPEED_OF_LIGHT_MPS;

/** All channels of the receiver. */
export class Tracker {
  /** In the order of the sky's views. */
  readonly satellites: readonly TrackedSatellite[];
  /** Satellites above the horizon at the last epoch, in the order of their signals. */
  readonly arrivals: Arrival[] = [];
  readonly #pool: Arrival[] = [];
  readonly #channels: number;
  /** By the sky's views: how false a satellite's signals were at the last epoch, m. */
  readonly #falseM: Float64Array;
  readonly #interval: SampleInterval;
  #turn = 0;

  constructor(
    settings: ReceiverSettings,
    views: readonly SatelliteView[],
    { streams, leapSeconds, interval }: { streams: RandomStreams; leapSeconds: LeapSeconds; interval: SampleInterval },
    listenerOf: (satellite: TrackedSatellite, view: SatelliteView) => MessageListener,
  ) {
    this.#channels = settings.channels;
    this.#interval = interval;
    this.#falseM = new Float64Array(views.length);
    this.satellites = views.map((view) => {
      const { satellite } = view;
      const kinds = signalsOf(satellite.system, settings.bands);
      const tracked = new TrackedSatellite(satellite, kinds, streams, leapSeconds);
      tracked.listener = listenerOf(tracked, view);
      return tracked;
    });
  }

  restart(kind: StartKind): void {
    for (const satellite of this.satellites) satellite.restart(kind);
  }

  /** Parts an epoch's signals by satellite. */
  take(signals: readonly ArrivingSignal[]): void {
    let count = 0;
    for (let from = 0; from < signals.length; count++) {
      const { view } = signals[from] as ArrivingSignal;
      let end = from + 1;
      while (end < signals.length && (signals[end] as ArrivingSignal).view === view) end++;
      const arrival = this.#arrival(count, view);
      arrival.view = view;
      arrival.satellite = this.satellites[view.index] as TrackedSatellite;
      arrival.from = from;
      arrival.count = end - from;
      from = end;
    }
    this.arrivals.length = count;
    for (let i = 0; i < count; i++) this.arrivals[i] = this.#pool[i] as Arrival;
  }

  /**
   * Search, lock and message of every satellite; those that have set are let go.
   * @param aidingOf how much the receiver knows for the search of a satellite, by what it knows of its orbit
   */
  track(
    tS: number,
    gps: GpsTime,
    signals: readonly ArrivingSignal[],
    aidingOf: (orbit: OrbitKnowledge) => Aiding,
  ): void {
    const { arrivals } = this;
    let at = 0;
    let free = this.#channels;
    for (let index = 0; index < this.satellites.length; index++) {
      const satellite = this.satellites[index] as TrackedSatellite;
      if (at < arrivals.length && (arrivals[at] as Arrival).view.index === index) {
        at++;
        free -= satellite.busyChannels;
      } else {
        satellite.set();
      }
    }
    // With fewer channels than signals the search goes round, each time once a pass has been in vain.
    const turn = this.#turn++;
    for (let k = 0; k < arrivals.length; k++) {
      const arrival = arrivals[(k + turn) % arrivals.length] as Arrival;
      const { satellite, from, count } = arrival;
      const told = this.#follow(tS, gps, arrival, signals[from] as ArrivingSignal);
      free = satellite.live(tS, told, signals, from, count, aidingOf(satellite.orbit(tS)), Math.max(0, free));
      this.#collect(tS, arrival, signals);
    }
  }

  /** Lists which of a satellite's signals are locked. */
  #collect(
    tS: number,
    { satellite, from, count, locked, measured }: Arrival,
    signals: readonly ArrivingSignal[],
  ): void {
    // Popped one by one: setting a length costs more than all else here.
    while (locked.length > 0) locked.pop();
    while (measured.length > 0) measured.pop();
    if (satellite.state !== 'tracking') return;
    for (let i = from; i < from + count; i++) {
      const signal = signals[i] as ArrivingSignal;
      const channel = satellite.channelOf(signal.kind);
      if (channel === undefined || channel.lockedAtS === null) continue;
      locked.push(signal);
      if (channel.isSynchronised(tS)) measured.push(signal);
    }
  }

  /** Loses a satellite whose signals jump; the time that its message is made from. */
  #follow(tS: number, gps: GpsTime, { satellite, view }: Arrival, first: ArrivingSignal): GpsTime {
    const falseM = first.falseRangeM;
    const beforeM = this.#falseM[view.index] as number;
    if (falseM === 0 && beforeM === 0) return gps;
    this.#falseM[view.index] = falseM;
    const jumpM = falseM - beforeM - first.falseRangeRateMps * this.#interval.lengthS;
    if (Math.abs(jumpM) > JUMP_M) satellite.lose(tS);
    return Math.abs(falseM) < MESSAGE_JUMP_M ? gps : addSeconds(gps, -falseM / SPEED_OF_LIGHT_MPS);
  }

  #arrival(index: number, view: SatelliteView): Arrival {
    let arrival = this.#pool[index];
    if (arrival === undefined) {
      const satellite = this.satellites[view.index] as TrackedSatellite;
      arrival = { satellite, view, from: 0, count: 0, locked: [], measured: [] };
      this.#pool[index] = arrival;
    }
    return arrival;
  }
}
