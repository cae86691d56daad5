import type { RandomStreams } from '../../base/random.js';
import type { GpsTime } from '../../base/time.js';
import type { ChannelState, OrbitKnowledge, StartKind } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import { Channel } from './channel.js';
import { LnavReader, type MessageListener } from './lnav-reader.js';
import { RangeErrors } from './range-errors.js';
import { type Aiding, EPHEMERIS_LIFE_S } from './thresholds.js';

/** All that the receiver has to do with one satellite: its channel, its message, what it knows, its range errors. */
export class TrackedSatellite {
  readonly channel: Channel;
  readonly errors: RangeErrors | null;
  readonly #reader = new LnavReader();
  #ephemerisUntilS = -Infinity;
  #hasAlmanac = false;
  state: ChannelState = 'hidden';

  /** @param withErrors false: pseudoranges are exact */
  constructor(
    readonly id: string,
    readonly number: number,
    streams: RandomStreams,
    intervalS: number,
    withErrors: boolean,
  ) {
    this.channel = new Channel(streams.stream(`search/${id}`));
    this.errors = withErrors ? new RangeErrors(id, streams, intervalS) : null;
  }

  /** What a start of this kind has in memory from before. */
  remember(kind: StartKind, tS: number): void {
    this.#hasAlmanac = kind !== 'cold';
    if (kind === 'hot') this.#ephemerisUntilS = tS + EPHEMERIS_LIFE_S;
  }

  /** Power-up: forgets what a start of this kind does not keep. */
  restart(kind: StartKind): void {
    this.channel.reset();
    this.#reader.reset();
    this.state = 'hidden';
    if (kind === 'cold') this.#hasAlmanac = false;
    if (kind !== 'hot') this.#ephemerisUntilS = -Infinity;
  }

  learnEphemeris(tS: number): void {
    this.#ephemerisUntilS = tS + EPHEMERIS_LIFE_S;
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

  /** One epoch of search, track and message. */
  live(
    tS: number,
    gps: GpsTime,
    signal: ArrivingSignal,
    aiding: Aiding,
    maySearch: boolean,
    to: MessageListener,
  ): void {
    this.errors?.step();
    this.state = this.channel.step(tS, signal.cn0DbHz, aiding, maySearch);
    this.#reader.step(tS, gps, signal.view.rangeM, this.channel.decodableSinceS, to);
  }

  /** Below the horizon. */
  set(): void {
    if (this.state === 'hidden') return;
    this.channel.reset();
    this.#reader.reset();
    this.state = 'hidden';
  }
}
