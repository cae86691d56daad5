import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import type { ReceiverClockTruth, SuspectSatellite } from '../epoch.js';
import type { CorrectionWay, MeasurementError, RangeErrors } from '../signal/range-errors.js';
import type { SatelliteView } from '../sky/sky.js';
import { SYSTEM_NAMES, type SystemName } from '../sky/system.js';
import { solveChecked } from './integrity.js';
import type { Measurement } from './measurement.js';
import type { Solution } from './solution.js';
import { Solver } from './solver.js';
import type { Arrival } from './tracker.js';

/** A height from a solution with a worse vertical dilution is not remembered (common practice). */
const GOOD_VDOP = 10;

/** A solution with a horizontal dilution above this is not reported (common practice). */
const WORST_HDOP = 50;

/** What the receiver made of an epoch's measurements. */
export interface Fix {
  readonly solution: Solution;
  /** Those in the solution, in the order of the signals. */
  readonly used: readonly Arrival[];
  readonly residualsM: readonly number[];
  readonly suspect: SuspectSatellite | null;
}

/** What positioning needs to know of a satellite's ranges. */
export interface RangeSource {
  errorsOf(view: SatelliteView): RangeErrors;
  /** How the receiver corrects them. */
  wayOf(view: SatelliteView): CorrectionWay;
}

/** From measurements to a position, epoch after epoch. */
export class Positioning {
  readonly #solver = new Solver();
  readonly #pool: Measurement[] = [];
  readonly #error: MeasurementError = { errorM: 0, sigmaM: 1, rangeRateErrorMps: 0, rangeRateSigmaMps: 1 };
  readonly #counts = new Int32Array(SYSTEM_NAMES.length);
  readonly #kept: Arrival[] = [];
  /** Where the last solution was; null: no idea. */
  #place: Ecef | null = null;
  #heightM = 0;
  #last: { readonly solution: Solution; readonly atS: number } | null = null;

  get place(): Ecef | null {
    return this.#place;
  }

  /** What a warm or hot start remembers. */
  remember(ecef: Ecef, heightM: number): void {
    this.#place = ecef;
    this.#heightM = heightM;
  }

  forget(): void {
    this.#place = null;
    this.#heightM = 0;
    this.#last = null;
  }

  /** Power off: the place is kept, but nobody knows how fast the antenna goes on. */
  interrupt(): void {
    this.#last = null;
  }

  /**
   * @param usable satellites that may be used, by system and number
   * @returns null without a solution that can be relied on
   */
  solve(tS: number, usable: readonly Arrival[], clock: ReceiverClockTruth, source: RangeSource): Fix | null {
    const columns = this.#keep(usable);
    const kept = this.#kept;
    const count = kept.length;
    if (columns === 0 || count < columns + 2) {
      this.#last = null;
      return null;
    }
    this.#measure(clock, source);
    const heldM = count === columns + 2 ? this.#heightM : null;
    const found = solveChecked(this.#solver, this.#pool, count, columns, this.#expected(tS), heldM);
    const { solution } = found;
    if (solution === null || solution.hdop > WORST_HDOP) {
      this.#last = null;
      return null;
    }
    this.#place = solution.position;
    if (solution.vdop !== null && solution.vdop <= GOOD_VDOP) this.#heightM = solution.geodetic.heightM;
    this.#last = { solution, atS: tS };
    const used = found.excluded.length === 0 ? kept.slice() : kept.filter((_, i) => !found.excluded.includes(i));
    const suspect = found.suspect === null ? null : suspectOf(found.suspect, kept);
    return { solution, used, residualsM: found.residualsM, suspect };
  }

  /** Keeps satellites of systems with two of them or more, since a single one only tells its system's clock. */
  #keep(usable: readonly Arrival[]): number {
    const counts = this.#counts.fill(0);
    for (const { view } of usable) (counts[placeOf(view.satellite.system)] as number)++;
    const kept = this.#kept;
    kept.length = 0;
    for (const arrival of usable)
      if ((counts[placeOf(arrival.view.satellite.system)] as number) > 1) kept.push(arrival);
    let columns = 0;
    for (const number of counts) if (number > 1) columns++;
    return columns;
  }

  /** Pseudoranges and range rates, as the receiver has corrected them. */
  #measure(clock: ReceiverClockTruth, source: RangeSource): void {
    const kept = this.#kept;
    const clockM = clock.biasS * SPEED_OF_LIGHT_MPS;
    const driftMps = clock.driftSps * SPEED_OF_LIGHT_MPS;
    while (this.#pool.length < kept.length) {
      const { state } = (kept[0] as Arrival).view;
      this.#pool.push({ state, column: 0, pseudorangeM: 0, rangeRateMps: 0, sigmaM: 1, rangeRateSigmaMps: 1 });
    }
    let column = -1;
    let system: SystemName | null = null;
    for (let i = 0; i < kept.length; i++) {
      const arrival = kept[i] as Arrival;
      const { view, measured } = arrival;
      if (view.satellite.system !== system) {
        system = view.satellite.system;
        column++;
      }
      source.errorsOf(view).corrected(measured, source.wayOf(view), this.#error);
      const first = measured[0];
      const measurement = this.#pool[i] as Measurement;
      measurement.state = view.state;
      measurement.column = column;
      measurement.pseudorangeM = view.rangeM + clockM + this.#error.errorM + (first?.falseRangeM ?? 0);
      measurement.rangeRateMps =
        view.rangeRateMps + driftMps + this.#error.rangeRateErrorMps + (first?.falseRangeRateMps ?? 0);
      measurement.sigmaM = this.#error.sigmaM;
      measurement.rangeRateSigmaMps = this.#error.rangeRateSigmaMps;
    }
  }

  /** Where the antenna should be by now: the nearer, the sooner the solution settles. */
  #expected(tS: number): Ecef | null {
    if (this.#last === null || this.#place === null) return this.#place;
    const { xMps, yMps, zMps } = this.#last.solution.velocity;
    const sinceS = tS - this.#last.atS;
    const { xM, yM, zM } = this.#place;
    return { xM: xM + xMps * sinceS, yM: yM + yMps * sinceS, zM: zM + zMps * sinceS };
  }
}

function placeOf(system: SystemName): number {
  return SYSTEM_NAMES.indexOf(system);
}

function suspectOf(
  { index, ...rest }: { readonly index: number } & Omit<SuspectSatellite, 'id'>,
  kept: readonly Arrival[],
): SuspectSatellite {
  return { id: (kept[index] as Arrival).view.satellite.id, ...rest };
}
