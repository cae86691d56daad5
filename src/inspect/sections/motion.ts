import { DEG_PER_RAD, KNOT_MPS, RAD_PER_DEG } from '../../base/constants.js';
import type { HeardEpoch } from '../../grammar/heard-epoch.js';
import type { Place } from '../../statistics/distance-m.js';
import { levelOffset } from '../../statistics/local-offset.js';
import { wrap180 } from '../../statistics/wrap180.js';
import type { MotionPart, WindowFigures } from '../consistency-report.js';
import type { Item } from '../inspect-report.js';
import { resolutionM } from '../oddities/recogniser.js';
import { Occurrences, type Section } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { motionItem } from './motion-item.js';

/**
 * A window's length, s: positions of a receiver wander by decimetres to a metre or two in it, which is 0.1 to 0.3 m/s,
 * and what a filter lags behind is small beside the way.
 */
const WINDOW_S = 10;
/** Between epochs further apart nobody knows how it went, s. */
const LONGEST_STEP_S = 5;
/**
 * What is allowed between both: the larger of them, our own: twice the wandering of positions, see above. To it comes
 * the standard deviation of the velocity within the window: a receiver holds back speed and position by seconds, and
 * not by the same, so that a part of what changes is missing.
 */
const ALLOWED_MPS = 0.5;
const ALLOWED_PART = 0.1;
/** From this speed told on it is on the move, m/s: above what receivers tell at rest (common practice). */
const MOVING_MPS = 2;
/** Modules leave the course out at rest. Where more of the way has none, the window tells nothing, m/s. */
const WITHOUT_COURSE_MPS = 1;
/** Nearer to a pole the meridians part within a window, deg. */
const POLAR_DEG = 89;
/** So far around both directions are taken for one, deg. */
const SAME_WAY_DEG = 20;
/** A unit stands out where half of all ratios are as near to its own as this. */
const UNIT_PART = 0.05;
/** Figures are kept up to here, m/s: nothing is so fast. */
const FASTEST_MPS = 1000;

/** Way gone by way told, where a speed in another unit stands in the field for knots. */
const UNIT_RATIOS: Readonly<Record<string, number>> = {
  'm/s': 1 / KNOT_MPS,
  'km/h': 1 / 3.6 / KNOT_MPS,
  // A statute mile is 1609.344 m.
  mph: 1609.344 / 3600 / KNOT_MPS,
};

interface Told {
  readonly timed: TimedEpoch;
  readonly place: Place;
  readonly speedMps: number;
  readonly eastMps: number;
  readonly northMps: number;
  /** Of the speed, what has no course. */
  readonly aimlessMps: number;
}

/** A window under way: the way told since it began. */
interface Window {
  readonly from: Told;
  last: Told;
  eastM: number;
  northM: number;
  wayM: number;
  aimlessM: number;
  /** Of the velocities since it began: how many, and the sums of them and of their squares. */
  count: number;
  eastMps: number;
  northMps: number;
  squares: number;
}

/** Holds the velocity told, speed and course over ground, against the way between positions. */
export class MotionSection implements Section<MotionPart> {
  #window: Window | null = null;
  readonly #slow = new Figures();
  readonly #moving = new Figures();
  readonly #ratio = new Tally(0.001);
  readonly #courseOffDeg = new Tally(0.1);
  readonly #apart: Occurrences;

  constructor(clock: StreamClock) {
    this.#apart = new Occurrences(clock);
  }

  epoch(timed: TimedEpoch): void {
    const { epoch, tS, stampStepS } = timed;
    if (epoch.isValid === false || (stampStepS !== null && stampStepS < 0)) this.#window = null;
    const told = toldIn(timed);
    if (told === null) return;
    const window = this.#window;
    const stepS = window === null ? 0 : tS - window.last.timed.tS;
    if (window === null || stepS > LONGEST_STEP_S) {
      this.#window = begun(told);
      return;
    }
    const mean = (of: (each: Told) => number) => ((of(window.last) + of(told)) / 2) * stepS;
    window.eastM += mean(({ eastMps }) => eastMps);
    window.northM += mean(({ northMps }) => northMps);
    window.wayM += mean(({ speedMps }) => speedMps);
    window.aimlessM += mean(({ aimlessMps }) => aimlessMps);
    window.last = told;
    note(window, told);
    const lastsS = tS - window.from.timed.tS;
    if (lastsS < WINDOW_S) return;
    this.#close(window, lastsS);
    this.#window = begun(told);
  }

  #close(window: Window, lastsS: number): void {
    const { from, last, eastM, northM, wayM, aimlessM } = window;
    if (aimlessM > WITHOUT_COURSE_MPS * lastsS) return;
    const gone = levelOffset(from.place, last.place);
    const goneMps = Math.hypot(gone.eastM, gone.northM) / lastsS;
    const toldMps = wayM / lastsS;
    const differenceM = Math.hypot(gone.eastM - eastM, gone.northM - northM);
    // What has no course may have gone anywhere.
    const apartMps = Math.max(0, differenceM - aimlessM) / lastsS;
    // Two places that are rounded, in two directions.
    const roundingMps = (Math.SQRT2 * resolutionM(from.timed.epoch)) / lastsS;
    const allowedMps =
      Math.max(ALLOWED_MPS, ALLOWED_PART * Math.max(toldMps, goneMps)) + deviationMps(window) + roundingMps;
    const isMoving = toldMps >= MOVING_MPS;
    (isMoving ? this.#moving : this.#slow).add(toldMps, goneMps, apartMps, allowedMps);
    if (apartMps > allowedMps) this.#apart.add(from.timed.piece, from.timed.epoch);
    const straightM = Math.hypot(eastM, northM);
    if (!isMoving || straightM < MOVING_MPS * lastsS || goneMps < MOVING_MPS) return;
    this.#ratio.add(Math.min(100, (goneMps * lastsS) / straightM));
    const goneDeg = Math.atan2(gone.eastM, gone.northM) * DEG_PER_RAD;
    this.#courseOffDeg.add(wrap180(goneDeg - Math.atan2(eastM, northM) * DEG_PER_RAD));
  }

  finish(): { part: MotionPart; items: Item[] } {
    const [ratio, courseOffDeg] = [this.#ratio.percentile(50), this.#courseOffDeg.percentile(50)];
    const part: MotionPart = {
      slow: this.#slow.figures(),
      moving: this.#moving.figures(),
      ratio,
      courseOffDeg,
      unit: courseOffDeg !== null && Math.abs(courseOffDeg) <= SAME_WAY_DEG ? unitOf(this.#ratio) : null,
      examples: this.#apart.examples,
    };
    return { part, items: [motionItem(part)] };
  }
}

function begun(from: Told): Window {
  const way = { eastM: 0, northM: 0, wayM: 0, aimlessM: 0 };
  const window = { from, last: from, ...way, count: 0, eastMps: 0, northMps: 0, squares: 0 };
  note(window, from);
  return window;
}

function note(window: Window, { eastMps, northMps }: Told): void {
  window.count += 1;
  window.eastMps += eastMps;
  window.northMps += northMps;
  window.squares += eastMps ** 2 + northMps ** 2;
}

/** Standard deviation of the velocity, both directions together. */
function deviationMps({ count, eastMps, northMps, squares }: Window): number {
  return Math.sqrt(Math.max(0, squares / count - (eastMps / count) ** 2 - (northMps / count) ** 2));
}

/** Place and velocity of an epoch; null: it does not tell both. */
function toldIn(timed: TimedEpoch): Told | null {
  const { isValid, latitudeDeg, longitudeDeg, speedMps, courseDeg, timeOfDayMs }: HeardEpoch = timed.epoch;
  if (isValid !== true || timeOfDayMs === null || speedMps === null) return null;
  if (latitudeDeg === null || longitudeDeg === null || Math.abs(latitudeDeg) > POLAR_DEG) return null;
  const courseRad = (courseDeg ?? 0) * RAD_PER_DEG;
  const aimedMps = courseDeg === null ? 0 : speedMps;
  return {
    timed,
    place: { latitudeDeg, longitudeDeg },
    speedMps,
    eastMps: aimedMps * Math.sin(courseRad),
    northMps: aimedMps * Math.cos(courseRad),
    aimlessMps: speedMps - aimedMps,
  };
}

function unitOf(ratio: Tally): string | null {
  const quartiles = [25, 50, 75].map((percent) => ratio.percentile(percent) as number);
  const isOf = ([, own]: [string, number]) => quartiles.every((each) => Math.abs(each / own - 1) <= UNIT_PART);
  return Object.entries(UNIT_RATIOS).find(isOf)?.[0] ?? null;
}

/** Gathers windows. */
class Figures {
  readonly #told = new Tally(0.01);
  readonly #gone = new Tally(0.01);
  readonly #apart = new Tally(0.01);
  readonly #ofAllowed = new Tally(0.01);
  #beyond = 0;

  add(toldMps: number, goneMps: number, apartMps: number, allowedMps: number): void {
    this.#told.add(Math.min(FASTEST_MPS, toldMps));
    this.#gone.add(Math.min(FASTEST_MPS, goneMps));
    this.#apart.add(Math.min(FASTEST_MPS, apartMps));
    this.#ofAllowed.add(Math.min(FASTEST_MPS, apartMps / allowedMps));
    if (apartMps > allowedMps) this.#beyond += 1;
  }

  figures(): WindowFigures | null {
    const at = (tally: Tally, percent: number) => tally.percentile(percent) as number;
    if (this.#told.count === 0) return null;
    return {
      windows: this.#told.count,
      toldMps: at(this.#told, 50),
      goneMps: at(this.#gone, 50),
      medianMps: at(this.#apart, 50),
      p95Mps: at(this.#apart, 95),
      medianOfAllowed: at(this.#ofAllowed, 50),
      p95OfAllowed: at(this.#ofAllowed, 95),
      apart: this.#beyond,
    };
  }
}
