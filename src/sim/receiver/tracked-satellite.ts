import type { Stream } from '../../base/random.js';
import type { GpsTime } from '../../base/time.js';
import type { ChannelState, OrbitKnowledge, StartKind } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { Satellite } from '../sky/orbit.js';
import { Channel } from './channel.js';
import { LnavReader, type MessageListener } from './lnav-reader.js';
import type { RangeErrors } from './range-errors.js';
import { type Aiding, EPHEMERIS_LIFE_S } from './thresholds.js';

/** All that the receiver has to do with one satellite: its channel, its message, what it knows, its range errors. */
export class TrackedSatellite {
  readonly channel: Channel;
  readonly number: number;
  /** Told what the message brings. */
  listener!: MessageListener;
  readonly #reader = new LnavReader();
  #ephemerisUntilS = -Infinity;
  #hasAlmanac = false;
  state: ChannelState = 'hidden';

  /** @param errors null: pseudoranges are exact */
  constructor(
    satellite: Satellite,
    search: Stream,
    readonly errors: RangeErrors | null,
  ) {
    this.number = satellite.number;
    this.channel = new Channel(search);
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
  live(tS: number, gps: GpsTime, signal: ArrivingSignal, aiding: Aiding, maySearch: boolean): void {
    this.errors?.step();
    this.state = this.channel.step(tS, signal.cn0DbHz, aiding, maySearch);
    this.#reader.step(tS, gps, signal.view.rangeM, this.channel.decodableSinceS, this.listener);
  }

  /** Below the horizon. */
  set(): void {
    if (this.state === 'hidden') return;
    this.channel.reset();
    this.#reader.reset();
    this.state = 'hidden';
  }
}
