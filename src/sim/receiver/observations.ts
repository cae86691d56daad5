import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { RandomStreams, Stream } from '../../base/random.js';
import type { GpsTime } from '../../base/time.js';
import type { Observation, ReceiverClockTruth } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { RangeErrors } from '../signal/range-errors.js';
import { carrierHz } from '../signal/signal-kind.js';
import { satelliteClock } from '../sky/satellite-clock.js';
import { groupDelayS } from './group-delay.js';

/** Whole cycles that a carrier's count begins with lie within so many of zero. */
const AMBIGUITY_CYCLES = 1_000_000;

/** What the count of one signal's carrier began with. */
interface CarrierCount {
  readonly stream: Stream;
  /** When the signal was locked, s; another time means that the count began anew. */
  lockedAtS: number;
  cycles: number;
}

/**
 * Raw measurements as a receiver hands them out: ranges from the times that the satellites' own clocks have put on
 * their signals, uncorrected, with all that delays them.
 */
export class RawMeasurements {
  /** By satellite and signal. */
  readonly #counts = new Map<string, CarrierCount>();

  /** @param start GPS time of the scenario's start */
  constructor(
    private readonly streams: RandomStreams,
    private readonly start: GpsTime,
  ) {}

  /**
   * One signal's measurements at an epoch.
   * @param tS seconds since the start
   * @param lockedAtS when the signal was locked
   */
  of(
    signal: ArrivingSignal,
    tS: number,
    lockedAtS: number,
    clock: ReceiverClockTruth,
    errors: RangeErrors,
  ): Observation {
    const { view, kind } = signal;
    const { satellite } = view;
    const sentS = tS - view.rangeM / SPEED_OF_LIGHT_MPS;
    const record = satellite.broadcast.recordAt(sentS);
    const { offsetS, drift } = satelliteClock(record, sentS, this.start);
    const clocksM = (clock.biasS - offsetS) * SPEED_OF_LIGHT_MPS;
    const driftMps = (clock.driftSps - drift) * SPEED_OF_LIGHT_MPS;
    const carrier = carrierHz(kind, satellite.frequencyNumber);
    const lambdaM = SPEED_OF_LIGHT_MPS / carrier;
    const straightM = view.rangeM + clocksM + signal.falseRangeM;
    const count = this.#count(signal, lockedAtS);
    const rateMps = view.rangeRateMps + driftMps + signal.falseRangeRateMps + errors.rangeRateErrorMps(signal);
    return {
      id: signal.id,
      kind,
      frequencyNumber: satellite.frequencyNumber,
      pseudorangeM: straightM + groupDelayS(record, kind) * SPEED_OF_LIGHT_MPS + errors.pseudorangeErrorM(signal),
      carrierCycles: (straightM + errors.carrierErrorM(signal)) / lambdaM + count.cycles,
      dopplerHz: -rateMps / lambdaM,
      cn0DbHz: signal.cn0DbHz,
      isFresh: count.isFresh,
    };
  }

  #count({ id, kind }: ArrivingSignal, lockedAtS: number): { cycles: number; isFresh: boolean } {
    const name = `${id}/${kind.name}`;
    let count = this.#counts.get(name);
    if (count === undefined) {
      count = { stream: this.streams.stream(`carrier/${name}`), lockedAtS: Number.NaN, cycles: 0 };
      this.#counts.set(name, count);
    }
    const isFresh = count.lockedAtS !== lockedAtS;
    if (isFresh) {
      count.lockedAtS = lockedAtS;
      count.cycles = Math.round((count.stream.uniform() * 2 - 1) * AMBIGUITY_CYCLES);
    }
    return { cycles: count.cycles, isFresh };
  }
}
