import { DAY_MS, utcMsAt } from '../base/utc-ms.js';
import type { RecordedGroup } from './grouping.js';
import type { GroupSource } from './recorded-groups.js';

/** A group and its time. */
export interface TimedGroup {
  readonly group: RecordedGroup;
  /** Since the recording's beginning, ms. */
  readonly atMs: number;
  /** UTC by date and time of its own sentences, ms since 1970-01-01; null: they do not tell. */
  readonly utcMs: number | null;
}

/** A step of so much or more between two stamps, ms, or back, is a clock that was set, not a silence. */
const CLOCK_SET_MS = 3_600_000;
/** So many groups are looked at to find the next stamp. */
const MOST_AHEAD = 256;
/** Groups further apart than so many usual intervals have a silence between them. */
const SILENCE = 1.5;

interface Stamped {
  readonly group: RecordedGroup;
  readonly atMs: number;
}

/**
 * Gives the groups of a recording their times, by the times of day in their sentences. What is missing in the recording
 * is missing in time. Groups without a stamp, or with the one of the group before, are spread evenly up to the next
 * stamp, but no further apart than usual; those before the first stamp, and after the last, come at the usual interval.
 * After a step back, or of an hour or more forward, it goes on at the usual interval: a clock was set, or one recording
 * ends and another begins. A single stamp that does not fit between its neighbours counts for nothing.
 */
export class Pacer {
  readonly #source: GroupSource;
  readonly #intervalMs: number;
  readonly #longestGapMs: number;
  /** The last group whose stamp counted; null: none since the beginning, or since there were none for too long. */
  #anchor: Stamped | null = null;
  #lastMs: number;
  readonly #ready: TimedGroup[] = [];
  /** Read, and still without a time. */
  readonly #ahead: RecordedGroup[] = [];
  /** Steps that did not count as time that passed. */
  clockSets = 0;
  /** Silences that were shortened. */
  shortened = 0;

  /**
   * @param intervalMs usual interval of groups, ms
   * @param longestGapMs a longer silence lasts only so long, ms
   */
  constructor(source: GroupSource, intervalMs: number, longestGapMs = Infinity) {
    this.#source = source;
    this.#intervalMs = intervalMs;
    this.#longestGapMs = longestGapMs;
    this.#lastMs = -intervalMs;
  }

  /** The next group, which stays the next one; null: there are no more. */
  peek(): TimedGroup | null {
    while (this.#ready.length === 0 && this.#fill());
    return this.#ready[0] ?? null;
  }

  next(): TimedGroup | null {
    const group = this.peek();
    this.#ready.shift();
    return group;
  }

  /** Gives one group or more a time. @returns false: there are no more */
  #fill(): boolean {
    const anchor = this.#anchor;
    const [first] = this.#look(1);
    if (first === undefined) return false;
    if (anchor === null) {
      this.#ahead.shift();
      this.#put(first, this.#lastMs + this.#intervalMs);
      if (first.timeOfDayMs !== null) this.#anchor = { group: first, atMs: this.#lastMs };
      return true;
    }
    let place = 0;
    for (; place < MOST_AHEAD; place++) {
      const group = this.#look(place + 1)[place];
      if (group === undefined) break;
      const stepMs = stepBetween(anchor.group, group);
      if (stepMs === null || stepMs === 0 || (!isTime(stepMs) && this.#isStray(anchor.group, place))) continue;
      this.#spread(anchor, place, stepMs);
      return true;
    }
    // No stamp in sight: those that were looked at come as usual.
    this.#anchor = null;
    for (const group of this.#ahead.splice(0, Math.max(1, place))) this.#put(group, this.#lastMs + this.#intervalMs);
    return true;
  }

  /** Gives the group at `place` its time by its stamp, and those before it theirs. */
  #spread(anchor: Stamped, place: number, stepMs: number): void {
    const groups = this.#ahead.splice(0, place + 1);
    const count = groups.length;
    let gapMs = count * this.#intervalMs;
    if (isTime(stepMs)) {
      gapMs = Math.min(stepMs, Math.max(this.#longestGapMs, this.#intervalMs));
      if (gapMs < stepMs) this.shortened++;
    } else this.clockSets++;
    const evenMs = gapMs / count;
    const spacingMs = evenMs <= SILENCE * this.#intervalMs ? evenMs : this.#intervalMs;
    for (const [index, group] of groups.entries()) {
      const isLast = index === count - 1;
      this.#put(group, anchor.atMs + (isLast ? gapMs : spacingMs * (index + 1)));
      if (isLast) this.#anchor = { group, atMs: this.#lastMs };
    }
  }

  /** Whether the stamp at a place is a single one that does not fit, the one after it fitting again. */
  #isStray(anchor: RecordedGroup, place: number): boolean {
    for (let next = place + 1; next <= place + MOST_AHEAD; next++) {
      const group = this.#look(next + 1)[next];
      if (group === undefined) return false;
      const stepMs = stepBetween(anchor, group);
      if (stepMs !== null) return isTime(stepMs);
    }
    return false;
  }

  /** The groups that are next, at least so many where there are. */
  #look(count: number): readonly RecordedGroup[] {
    while (this.#ahead.length < count) {
      const group = this.#source.next();
      if (group === null) break;
      this.#ahead.push(group);
    }
    return this.#ahead;
  }

  #put(group: RecordedGroup, atMs: number): void {
    // To the microsecond, as the journal has it.
    this.#lastMs = Math.round(atMs * 1000) / 1000;
    this.#ready.push({ group, atMs: this.#lastMs, utcMs: utcMsOfGroup(group) });
  }
}

/** UTC by a group's own date and time; null: they are not both there. */
export function utcMsOfGroup({ date, timeOfDayMs }: RecordedGroup): number | null {
  if (date === null || timeOfDayMs === null) return null;
  return utcMsAt(date, timeOfDayMs);
}

/** Time that may have passed. */
function isTime(stepMs: number): boolean {
  return stepMs > 0 && stepMs < CLOCK_SET_MS;
}

/** From one group's stamp to another's, by the shorter way round the clock, ms; null: one of them has none. */
export function stepBetween(from: RecordedGroup, to: RecordedGroup): number | null {
  const [fromMs, toMs] = [from.timeOfDayMs, to.timeOfDayMs];
  if (fromMs === null || toMs === null) return null;
  const halfMs = DAY_MS / 2;
  const wayMs = toMs - fromMs + halfMs;
  const stepMs = wayMs - Math.floor(wayMs / DAY_MS) * DAY_MS - halfMs;
  // After second 60 the next day begins a second later than a day of 86400 s would say.
  const leapMs = fromMs >= DAY_MS && toMs < DAY_MS ? 1000 : 0;
  const [fromUtcMs, toUtcMs] = [utcMsOfGroup(from), utcMsOfGroup(to)];
  // A date that lags behind at midnight is no step back.
  const days =
    fromUtcMs === null || toUtcMs === null ? 0 : Math.max(0, Math.round((toUtcMs - fromUtcMs - stepMs) / DAY_MS));
  return stepMs + leapMs + days * DAY_MS;
}
