import { number } from '../../base/words.js';
import type { HeardEpoch } from '../../grammar/heard-epoch.js';
import { percentile } from '../../statistics/percentile.js';
import { ThinnedSeries } from '../../statistics/thinned-series.js';
import type { Item, Occurrence, SignalCourse } from '../inspect-report.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { lasting, percent } from './words.js';

/** Fewer satellites listed do not tell whether anything is heard. */
const LEAST_LISTED = 3;
/** A silence of all signals counts from so long on, s: shorter ones are bridges and gates. */
const LEAST_SILENCE_S = 30;
/** A silence to the end is one for good after so long, s: a log may end in a garage. */
const FOR_GOOD_S = 120;
/** With a fix in so many of its epochs it is not the signals that are gone. */
const FIX_SHARE = 0.5;
/** Points that the fall is looked for in, and how long either side of it is at least: so many of them, and s. */
const MOST_POINTS = 400;
const LEAST_POINTS = 10;
const LEAST_SIDE_S = 60;
/** Less than this many signals do not make a median. */
const LEAST_HEARD = 3;
/** A fall of the median by as much as parts a healthy antenna from a weak one is told of, dB. */
const FALL_DB = 5;

interface Point {
  readonly tS: number;
  readonly deviationDb: number;
  readonly at: Occurrence;
}

interface Silence {
  readonly from: Occurrence;
  readonly fromS: number;
  untilS: number;
  epochs: number;
  fixes: number;
}

/** Follows what is heard in time: whether it falls silent, and whether it becomes weaker for good. */
export class SignalCourseWatch {
  readonly #clock: StreamClock;
  readonly #points = new ThinnedSeries<Point>(MOST_POINTS);
  #wasHeard = false;
  #silence: Silence | null = null;
  #longest: Silence | null = null;

  constructor(clock: StreamClock) {
    this.#clock = clock;
  }

  /**
   * @param listed satellites of the epoch above 10 deg
   * @param deviationsDb of those with a C/N0, from the curve that is expected
   * @param heard how many have a C/N0
   */
  epoch(timed: TimedEpoch, listed: number, heard: number, deviationsDb: number[]): void {
    const { epoch, tS } = timed;
    if (heard > 0) this.#hear(tS);
    else if (listed >= LEAST_LISTED) this.none(timed);
    if (deviationsDb.length < LEAST_HEARD) return;
    deviationsDb.sort((a, b) => a - b);
    this.#points.add({ tS, deviationDb: percentile(deviationsDb, 50), at: this.#placeOf(epoch) });
  }

  #hear(tS: number): void {
    if (this.#silence !== null) this.#silence.untilS = tS;
    [this.#silence, this.#wasHeard] = [null, true];
  }

  /** An epoch in which nothing is heard: no satellite is in view, or none that is listed has a C/N0. */
  none({ epoch, tS }: TimedEpoch): void {
    if (!this.#wasHeard) return;
    this.#silence ??= { from: this.#placeOf(epoch), fromS: tS, untilS: tS, epochs: 0, fixes: 0 };
    const silence = this.#silence;
    silence.untilS = tS;
    silence.epochs += 1;
    if (epoch.isValid === true) silence.fixes += 1;
    if (this.#longest === null || lengthOf(silence) > lengthOf(this.#longest)) this.#longest = silence;
  }

  /** The list of satellites is what shows it. */
  #placeOf(epoch: HeardEpoch): Occurrence {
    const shown = epoch.sentences.find(({ decoded }) => decoded?.of === 'GSV') ?? epoch.sentences[0];
    return this.#clock.occurrence((shown as HeardEpoch['sentences'][number]).piece, epoch);
  }

  finish(): SignalCourse {
    const longest = this.#longest;
    const isLong = longest !== null && lengthOf(longest) >= LEAST_SILENCE_S;
    return {
      silence: isLong
        ? {
            from: longest.from,
            lastsS: lengthOf(longest),
            isToTheEnd: longest === this.#silence,
            fixShare: longest.fixes / longest.epochs,
          }
        : null,
      fall: fallOf(this.#points.values),
    };
  }
}

function lengthOf({ fromS, untilS }: Silence): number {
  return untilS - fromS;
}

/**
 * Where the points part best into higher ones before and lower ones after: where that takes most from the sum of the
 * squares of their differences from their mean (least squares with one step, textbook).
 */
function fallOf(points: readonly Point[]): SignalCourse['fall'] {
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined) return null;
  const sum = points.reduce((all, { deviationDb }) => all + deviationDb, 0);
  let found: { place: number; gain: number } | null = null;
  let before = 0;
  for (const [place, { tS, deviationDb }] of points.entries()) {
    const after = points.length - place;
    const isInside = tS - first.tS >= LEAST_SIDE_S && last.tS - tS >= LEAST_SIDE_S;
    if (isInside && Math.min(place, after) >= LEAST_POINTS) {
      const fallDb = before / place - (sum - before) / after;
      const gain = Math.sign(fallDb) * fallDb ** 2 * place * after;
      if (found === null || gain > found.gain) found = { place, gain };
    }
    before += deviationDb;
  }
  if (found === null) return null;
  const { place } = found;
  return {
    from: (points[place] as Point).at,
    beforeDb: medianOf(points.slice(0, place)),
    afterDb: medianOf(points.slice(place)),
  };
}

function medianOf(points: readonly Point[]): number {
  return percentile(
    points.map(({ deviationDb }) => deviationDb).sort((a, b) => a - b),
    50,
  );
}

/** What the course of the signals comes to. */
export function courseItem({ silence, fall }: SignalCourse): Item {
  const key = 'antenna.course';
  const title = 'C/N0 over time';
  const fallDb = fall === null ? 0 : fall.beforeDb - fall.afterDb;
  const found = [
    ...(silence === null ? [] : [silenceClause(silence)]),
    ...(fall === null || fallDb < FALL_DB ? [] : [fallClause(fall)]),
  ];
  if (found.length > 0) {
    const isBad = silence !== null && (isForGood(silence) || isContrary(silence));
    return { key, title, verdict: isBad ? 'bad' : 'remark', reason: found.join('; ') };
  }
  if (fall === null) {
    return { key, title, verdict: 'untested', reason: 'under two minutes of C/N0 above 10 deg of three satellites' };
  }
  return { key, title, verdict: 'good', reason: `steady: no fall of ${FALL_DB} dB or more that stays` };
}

function isForGood({ isToTheEnd, lastsS }: NonNullable<SignalCourse['silence']>): boolean {
  return isToTheEnd && lastsS >= FOR_GOOD_S;
}

/** Without signals there is no fix. */
function isContrary({ fixShare }: NonNullable<SignalCourse['silence']>): boolean {
  return fixShare >= FIX_SHARE;
}

function silenceClause(silence: NonNullable<SignalCourse['silence']>): string {
  const { from, lastsS, isToTheEnd, fixShare } = silence;
  const span = `${lasting(lastsS)}${isToTheEnd ? ', to the end' : ''}`;
  const what = `no satellite has a C/N0 from ${placeOf(from)} on, for ${span}`;
  if (isContrary(silence)) {
    return `${what}, with a fix in ${percent(fixShare)} of it: C/N0 is not told, or the fix is none`;
  }
  const why = isForGood(silence) ? 'an open or short antenna, or jamming' : 'a tunnel, jamming or the antenna';
  return `${what}, without a fix: ${why}`;
}

function fallClause({ from, beforeDb, afterDb }: NonNullable<SignalCourse['fall']>): string {
  const sizes = `${number(beforeDb, 1)} dB from the expected curve before, ${number(afterDb, 1)} dB after it, median`;
  return `falls by ${number(beforeDb - afterDb, 1)} dB from ${placeOf(from)} on: ${sizes}`;
}

function placeOf({ at, line }: Occurrence): string {
  return `${at === null ? '' : `${at}, `}line ${line}`;
}
