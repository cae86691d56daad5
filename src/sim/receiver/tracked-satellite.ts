import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../base/leap-seconds.js';
import type { RandomStreams } from '../../base/random.js';
import type { GpsTime } from '../../base/time.js';
import type { ChannelState, OrbitKnowledge, StartKind } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { SignalKind } from '../signal/signal-kind.js';
import type { Satellite } from '../sky/orbit.js';
import { Channel } from './channel.js';
import { messagePlanOf } from './message/message-plan-of.js';
import type { MessageListener } from './message/plan.js';
import { MessageReader } from './message/reader.js';
import { type Aiding, TRACK_DBHZ } from './thresholds.js';

/**
 * All that the receiver has to do with one satellite: a channel for each of its signals, its message, what it knows.
 */
export class TrackedSatellite {
  readonly id: string;
  /** One for each of {@link kinds}, in their order. */
  readonly channels: readonly Channel[];
  /** Told what the message brings. */
  listener!: MessageListener;
  /** The best of the channels'; `used` is the receiver's to set. */
  state: ChannelState = 'hidden';
  readonly #reader: MessageReader;
  readonly #ephemerisLifeS: number;
  #ephemerisUntilS = -Infinity;
  #hasAlmanac = false;

  /** @param kinds the signals that the receiver can take in of this satellite's system, the first one first */
  constructor(
    satellite: Pick<Satellite, 'id' | 'system' | 'number' | 'orbitClass'>,
    readonly kinds: readonly SignalKind[],
    streams: RandomStreams,
    leap: LeapSeconds = PUBLISHED_LEAP_SECONDS,
  ) {
    const plan = messagePlanOf(satellite);
    this.id = satellite.id;
    this.channels = kinds.map((kind, k) => {
      const stream = streams.stream(`search/${satellite.id}/${kind.name}`);
      // The message is read on the first signal.
      return new Channel(stream, kind, k === 0 ? plan.decodeDbHz : Infinity);
    });
    this.#reader = new MessageReader(plan, leap);
    this.#ephemerisLifeS = plan.ephemerisLifeS;
  }

  /** Channels that are locked or searching: what is not free for others. */
  get busyChannels(): number {
    let busy = 0;
    for (let k = 0; k < this.channels.length; k++) if ((this.channels[k] as Channel).isBusy) busy++;
    return busy;
  }

  /** The channel of a kind of signal; undefined: the receiver has none. */
  channelOf(kind: SignalKind): Channel | undefined {
    for (let k = 0; k < this.kinds.length; k++) if (this.kinds[k] === kind) return this.channels[k];
    return undefined;
  }

  /** What a start of this kind has in memory from before. */
  remember(kind: StartKind, tS: number): void {
    this.#hasAlmanac = kind !== 'cold';
    if (kind === 'hot') this.#ephemerisUntilS = tS + this.#ephemerisLifeS;
  }

  /** Power-up: forgets what a start of this kind does not keep. */
  restart(kind: StartKind): void {
    this.#release();
    if (kind === 'cold') this.#hasAlmanac = false;
    if (kind !== 'hot') this.#ephemerisUntilS = -Infinity;
  }

  learnEphemeris(tS: number): void {
    this.#ephemerisUntilS = tS + this.#ephemerisLifeS;
    // An old ephemeris serves as an almanac.
    this.#hasAlmanac = true;
  }

  learnAlmanac(): void {
    this.#hasAlmanac = true;
  }

  orbit(tS: number): OrbitKnowledge {
    if (tS < this.#ephemerisUntilS) return 'ephemeris';
    return this.#hasAlmanac ? 'almanac' : 'none';
  }

  /**
   * One epoch of search, track and message.
   * @param gps the epoch by the clock that the satellite's message is made from: of a false signal the false one
   * @param signals all that arrive; this satellite's are those from `from` on, `count` of them
   * @param free channels that nobody has
   * @returns channels that are free after it
   */
  live(
    tS: number,
    gps: GpsTime,
    signals: readonly ArrivingSignal[],
    from: number,
    count: number,
    aiding: Aiding,
    free: number,
  ): number {
    const isTracked = this.#isAnyLocked();
    let left = free;
    let best: ChannelState = 'hidden';
    for (let i = from; i < from + count; i++) {
      const signal = signals[i] as ArrivingSignal;
      const channel = this.channelOf(signal.kind);
      if (channel === undefined) continue;
      // The other bands' signals are found by the first one's, or by what is known; their search from nothing would
      // only take channels from satellites.
      const isSought = channel === this.channels[0] || isTracked || aiding !== 'none';
      const isBusy = channel.isBusy;
      const maySearch = isSought && (isBusy || left > 0);
      if (!maySearch) channel.release();
      else if (!isBusy && signal.cn0DbHz >= TRACK_DBHZ) left--;
      const state = channel.step(tS, signal.cn0DbHz, isTracked ? 'handed-over' : aiding, maySearch);
      if (state === 'tracking' || best === 'hidden') best = state;
    }
    this.state = best;
    const first = this.channels[0];
    if (first !== undefined && count > 0) {
      const { rangeM } = (signals[from] as ArrivingSignal).view;
      this.#reader.step(tS, gps, rangeM, first.decodableSinceS, this.listener);
    }
    return left;
  }

  /** A jump of the signals breaks the track of all of them. */
  lose(tS: number): void {
    for (let k = 0; k < this.channels.length; k++) (this.channels[k] as Channel).lose(tS);
  }

  /** Below the horizon. */
  set(): void {
    if (this.state !== 'hidden' || this.#isAnyLocked()) this.#release();
  }

  #release(): void {
    for (const channel of this.channels) channel.reset();
    this.#reader.reset();
    this.state = 'hidden';
  }

  #isAnyLocked(): boolean {
    for (let k = 0; k < this.channels.length; k++) if ((this.channels[k] as Channel).lockedAtS !== null) return true;
    return false;
  }
}
