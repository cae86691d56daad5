import {
  type Ecef,
  type Enu,
  ecefFromGeodetic,
  type Geodetic,
  geodeticFromEcef,
  LocalFrame,
} from '../../base/frames.js';
import type { SmoothingSettings } from './settings.js';
import type { Solution } from './solution.js';

/** The place that is reported, and where it comes from. */
export interface Reported {
  readonly position: Ecef;
  readonly geodetic: Geodetic;
  readonly eastMps: number;
  readonly northMps: number;
  readonly upMps: number;
  /** `held`: at rest where it was; `estimated`: carried on without satellites. */
  readonly source: 'solution' | 'held' | 'estimated';
}

/**
 * A held position is given up for the solution's where they are further apart than so many standard deviations
 * of the solution: two solutions of one place, hours apart, differ by 1.4 of them.
 */
const DEPARTURE_SIGMAS = 4;
/** Nearer than this it is kept in any case, m. */
const LEAST_DEPARTURE_M = 3;
/** A solution that is so many standard deviations away from a low-passed place is a jump: the filter starts anew. */
const JUMP_SIGMAS = 10;
const LEAST_JUMP_M = 20;
/** Sums of decimal intervals miss a whole number by less, s. */
const ROUNDING_S = 1e-6;

/**
 * What modules do to a solution before they report it (common practice): hold the position at rest, filter it, carry it
 * on for a while where satellites are lost.
 */
export class Smoothing {
  readonly #settings: SmoothingSettings;
  /** The low-passed place; with no low-pass the solution's own. */
  #filtered: Reported | null = null;
  /** What was reported last; null: nothing. */
  #shown: Reported | null = null;
  #withoutS = 0;

  constructor(settings: SmoothingSettings) {
    this.#settings = settings;
  }

  /** Forgets all. */
  reset(): void {
    this.#filtered = null;
    this.#shown = null;
    this.#withoutS = 0;
  }

  /**
   * One epoch.
   * @param solution null: none at this epoch
   * @param dtS since the last epoch, s, above 0
   * @returns what to report; null: no fix
   */
  update(solution: Solution | null, dtS: number): Reported | null {
    if (solution === null) return this.#carryOn(dtS);
    this.#withoutS = 0;
    const filtered = this.#filter(solution, dtS);
    this.#filtered = filtered;
    this.#shown = this.#hold(filtered, solution);
    return this.#shown;
  }

  /** The last velocity over ground and the height are kept, until the time is up. */
  #carryOn(dtS: number): Reported | null {
    const from = this.#shown;
    this.#filtered = null;
    this.#withoutS += dtS;
    if (from === null || this.#withoutS > this.#settings.deadReckoningS + ROUNDING_S) {
      this.#shown = null;
      return null;
    }
    const { eastMps, northMps } = from;
    const { latitudeDeg, longitudeDeg } = geodeticFromEcef(
      moved(from, { eastM: eastMps * dtS, northM: northMps * dtS, upM: 0 }),
    );
    const geodetic = { latitudeDeg, longitudeDeg, heightM: from.geodetic.heightM };
    const position = ecefFromGeodetic(geodetic);
    this.#shown = { position, geodetic, eastMps, northMps, upMps: 0, source: 'estimated' };
    return this.#shown;
  }

  /** Moves the place on by the mean velocity, so that motion makes no lag, and pulls it towards the solution. */
  #filter(solution: Solution, dtS: number): Reported {
    const { position, geodetic, eastMps, northMps, upMps } = solution;
    const before = this.#filtered;
    const raw: Reported = { position, geodetic, eastMps, northMps, upMps, source: 'solution' };
    if (before === null || this.#settings.lowPassS <= 0) return raw;
    const half = dtS / 2;
    const expected = moved(before, {
      eastM: (before.eastMps + eastMps) * half,
      northM: (before.northMps + northMps) * half,
      upM: (before.upMps + upMps) * half,
    });
    const { xM, yM, zM } = expected;
    const { across, up } = apart(solution, expected);
    const limits = limitsOf(solution, JUMP_SIGMAS, LEAST_JUMP_M);
    if (across > limits.acrossM || up > limits.upM) return raw;
    const share = 1 - Math.exp(-dtS / this.#settings.lowPassS);
    const pulled = {
      xM: xM + share * (position.xM - xM),
      yM: yM + share * (position.yM - yM),
      zM: zM + share * (position.zM - zM),
    };
    return { position: pulled, geodetic: geodeticFromEcef(pulled), eastMps, northMps, upMps, source: 'solution' };
  }

  /** Below the speed set: where it was, at rest. */
  #hold(now: Reported, solution: Solution): Reported {
    const { holdBelowMps } = this.#settings;
    const { eastMps, northMps } = now;
    if (holdBelowMps === null || Math.sqrt(eastMps * eastMps + northMps * northMps) >= holdBelowMps) return now;
    const held = this.#shown;
    if (held === null || held.source !== 'held') return atRest(now);
    const { across, up } = apart(now, held.position);
    const limits = limitsOf(solution, DEPARTURE_SIGMAS, LEAST_DEPARTURE_M);
    return across > limits.acrossM || up > limits.upM ? atRest(now) : held;
  }
}

function atRest({ position, geodetic }: Reported): Reported {
  return { position, geodetic, eastMps: 0, northMps: 0, upMps: 0, source: 'held' };
}

/** How far two places are apart horizontally and in height, m. */
function apart(
  { position, geodetic }: Pick<Reported, 'position' | 'geodetic'>,
  other: Ecef,
): { across: number; up: number } {
  const frame = new LocalFrame(geodetic.latitudeDeg, geodetic.longitudeDeg);
  const { eastM, northM, upM } = frame.toEnu(other.xM - position.xM, other.yM - position.yM, other.zM - position.zM);
  return { across: Math.sqrt(eastM * eastM + northM * northM), up: Math.abs(upM) };
}

function limitsOf({ sigma }: Solution, sigmas: number, leastM: number): { acrossM: number; upM: number } {
  const { eastM, northM, upM } = sigma;
  return {
    acrossM: Math.max(leastM, sigmas * Math.sqrt(eastM * eastM + northM * northM)),
    upM: upM === null ? Infinity : Math.max(leastM, sigmas * upM),
  };
}

function moved({ position, geodetic }: Reported, by: Enu): Ecef {
  const { xM, yM, zM } = new LocalFrame(geodetic.latitudeDeg, geodetic.longitudeDeg).toEcef(by);
  return { xM: position.xM + xM, yM: position.yM + yM, zM: position.zM + zM };
}
