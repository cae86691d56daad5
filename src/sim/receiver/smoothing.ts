import { type Ecef, type Geodetic, geodeticFromEcef } from '../../base/frames.js';
import type { SmoothingSettings } from './settings.js';
import type { Solution } from './solver.js';

/** Place and velocity as the module reports them. */
export interface Reported {
  readonly geodetic: Geodetic;
  readonly eastMps: number;
  readonly northMps: number;
  readonly upMps: number;
  /** `held`: frozen at rest; `estimated`: carried on without satellites. */
  readonly source: 'solution' | 'held' | 'estimated';
}

/** A held position is let go once the solution has departed by more than this, m (common practice). */
const RELEASE_M = 15;

/** What a module does to its solutions before it reports them. */
export class Smoothing {
  readonly #settings: SmoothingSettings;
  #position: Ecef | null = null;
  #held: { readonly position: Ecef; readonly geodetic: Geodetic } | null = null;
  #last: Solution | null = null;
  #withoutS = 0;

  constructor(settings: SmoothingSettings) {
    this.#settings = settings;
  }

  /** Power off: nothing is carried on. */
  reset(): void {
    this.#position = null;
    this.#held = null;
    this.#last = null;
    this.#withoutS = 0;
  }

  /**
   * One epoch.
   * @param solution null: satellites give none
   * @param dtS since the last epoch, s
   * @returns null: there is nothing to report
   */
  update(solution: Solution | null, dtS: number): Reported | null {
    if (solution === null) return this.#carryOn(dtS);
    this.#withoutS = 0;
    const { eastMps, northMps, upMps } = solution;
    const { lowPassS, holdBelowMps } = this.#settings;
    const position = lowPassS > 0 ? this.#filtered(solution, dtS, lowPassS) : solution.position;
    this.#position = position;
    this.#last = solution;
    if (holdBelowMps !== null && Math.hypot(eastMps, northMps) < holdBelowMps) return this.#hold(position);
    this.#held = null;
    const geodetic = position === solution.position ? solution.geodetic : geodeticFromEcef(position);
    return { geodetic, eastMps, northMps, upMps, source: 'solution' };
  }

  /** At rest the place stands still, and so does the speed. */
  #hold(position: Ecef): Reported {
    if (this.#held === null || apartM(this.#held.position, position) > RELEASE_M) {
      this.#held = { position, geodetic: geodeticFromEcef(position) };
    }
    return { geodetic: this.#held.geodetic, eastMps: 0, northMps: 0, upMps: 0, source: 'held' };
  }

  /** Predicted by the velocity, so that steady motion brings no lag, and drawn to the solution. */
  #filtered({ position, velocity }: Solution, dtS: number, timeConstantS: number): Ecef {
    const before = this.#position;
    if (before === null) return position;
    const share = 1 - Math.exp(-dtS / timeConstantS);
    const drawn = (from: number, rate: number, to: number) => {
      const predicted = from + rate * dtS;
      return predicted + share * (to - predicted);
    };
    return {
      xM: drawn(before.xM, velocity.xMps, position.xM),
      yM: drawn(before.yM, velocity.yMps, position.yM),
      zM: drawn(before.zM, velocity.zMps, position.zM),
    };
  }

  /** Without satellites: on by the last velocity, for as long as the module trusts that. */
  #carryOn(dtS: number): Reported | null {
    this.#withoutS += dtS;
    const last = this.#last;
    if (last === null || this.#position === null || this.#withoutS > this.#settings.deadReckoningS + ROUNDING_S) {
      this.reset();
      return null;
    }
    const { velocity, eastMps, northMps, upMps } = last;
    const { xM, yM, zM } = this.#position;
    this.#position = { xM: xM + velocity.xMps * dtS, yM: yM + velocity.yMps * dtS, zM: zM + velocity.zMps * dtS };
    if (this.#held !== null)
      return { geodetic: this.#held.geodetic, eastMps: 0, northMps: 0, upMps: 0, source: 'estimated' };
    return { geodetic: geodeticFromEcef(this.#position), eastMps, northMps, upMps, source: 'estimated' };
  }
}

/** Epochs are whole milliseconds. */
const ROUNDING_S = 1e-6;

function apartM(a: Ecef, b: Ecef): number {
  return Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM);
}
