import { SECONDS_PER_DAY } from '../../base/constants.js';
import { DAY_MS, dateLabel } from '../../base/utc-ms.js';
import { listed, number, times } from '../../base/words.js';
import type { TextDate } from '../../grammar/decode.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { DateStep } from '../date-watch.js';
import type { Item, Occurrence, TimePart } from '../inspect-report.js';
import { isOfFirstWeeks, rolledOverWeeks } from '../odd-dates.js';
import { Occurrences, type Section, type StreamOptions } from '../section.js';
import type { StampVerdict } from '../stamp-order.js';
import { straySentence } from '../stray-sentence.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { lasting } from './words.js';

/** A machine's clock may be off by so much without a remark, s. */
const CLOCK_S = 1.5;
/** Steps of the date that are kept, and of them told in words, the first ones. */
const MOST_STEPS = 10;
const TOLD_STEPS = 2;

/** Whether dates and times agree with each other, and with the machine's clock. */
export class TimeSection implements Section<TimePart> {
  readonly #clock: StreamClock;
  readonly #isArrivalUtc: boolean;
  readonly #fileMs: number | undefined;
  readonly #mixed: Occurrences;
  readonly #back: Occurrences;
  #duplicates = 0;
  /** The time of the last RMC; where there is none, GGA. */
  #fixMs: number | null = null;
  #hasRmc = false;
  #leapSeconds = 0;
  #firstDate: TextDate | null = null;
  #lastDate: TextDate | null = null;
  /** The last date of a valid fix, and when it arrived, where that is UTC. */
  #lastValid: { readonly date: TextDate; readonly arrivedUtcMs: number | null } | null = null;
  readonly #decimals = new Set<string>();
  readonly #offsetS = new Tally(0.1);
  #isTold = false;
  #turns = 0;
  #dateStepCount = 0;
  readonly #dateSteps: TimePart['dateSteps'][number][] = [];

  constructor(clock: StreamClock, { isArrivalUtc = false, fileMs }: StreamOptions) {
    this.#mixed = new Occurrences(clock);
    this.#back = new Occurrences(clock);
    this.#clock = clock;
    this.#isArrivalUtc = isArrivalUtc;
    this.#fileMs = fileMs;
  }

  heard({ decoded, sentence, piece }: Heard, stamp: StampVerdict | null): void {
    if (stamp === null || decoded === null || !('timeOfDayMs' in decoded)) return;
    this.#isTold = true;
    const timeMs = decoded.timeOfDayMs;
    const text = sentence.fields[decoded.of === 'GLL' ? 4 : 0] ?? '';
    if (this.#decimals.size < 12) this.#decimals.add(String(text.split('.')[1]?.length ?? 0));
    if (decoded.of === 'RMC' || (decoded.of === 'GGA' && !this.#hasRmc)) {
      this.#hasRmc ||= decoded.of === 'RMC';
      if (timeMs === this.#fixMs) this.#duplicates += 1;
      this.#fixMs = timeMs;
    }
    if (stamp === 'back') this.#back.add(piece);
  }

  epoch({ epoch, arrivalMs, piece, dateStep, hasTurned }: TimedEpoch): void {
    const stray = straySentence(epoch);
    if (stray !== null) this.#mixed.add(stray.piece, epoch);
    if (hasTurned) this.#turns += 1;
    if (dateStep !== null) this.#step(dateStep, this.#clock.occurrence(piece, epoch));
    const { date, timeOfDayMs, utcMs } = epoch;
    if (timeOfDayMs !== null && timeOfDayMs >= DAY_MS) this.#leapSeconds += 1;
    if (date !== null) {
      this.#firstDate ??= date;
      this.#lastDate = date;
      if (epoch.isValid === true) this.#lastValid = { date, arrivedUtcMs: this.#isArrivalUtc ? arrivalMs : null };
    }
    if (this.#isArrivalUtc && arrivalMs !== null && utcMs !== null && epoch.isValid === true) {
      this.#offsetS.add((utcMs - arrivalMs) / 1000);
    }
  }

  #step({ from, to, offDays, rolloverWeeks }: DateStep, at: Occurrence): void {
    this.#dateStepCount += 1;
    if (this.#dateSteps.length >= MOST_STEPS) return;
    this.#dateSteps.push({ ...at, from: dateLabel(from), to: dateLabel(to), offDays, rolloverWeeks });
  }

  finish(): { part: TimePart; items: Item[] } {
    const part: TimePart = {
      firstDate: this.#firstDate === null ? null : dateLabel(this.#firstDate),
      lastDate: this.#lastDate === null ? null : dateLabel(this.#lastDate),
      midnights: this.#turns,
      dateStepCount: this.#dateStepCount,
      dateSteps: this.#dateSteps,
      mixedEpochs: this.#mixed.count,
      stepsBack: this.#back.count,
      duplicates: this.#duplicates,
      leapSeconds: this.#leapSeconds,
      secondDecimals: [...this.#decimals].sort(),
      clockOffsetS: this.#offsetS.percentile(50),
    };
    return { part, items: [this.#timeItem(part), this.#dateItem(part)] };
  }

  #timeItem({ mixedEpochs, stepsBack, duplicates, leapSeconds, secondDecimals }: TimePart): Item {
    const key = 'time';
    const title = 'Time of day';
    if (!this.#isTold) return { key, title, verdict: 'untested', reason: 'no sentence tells' };
    const found = [
      ...(stepsBack > 0 ? [`steps back ${times(stepsBack)}, line ${this.#back.examples[0]?.line}`] : []),
      ...(mixedEpochs > 0
        ? [`sentences of two times in one epoch ${times(mixedEpochs)}, line ${this.#mixed.examples[0]?.line}`]
        : []),
    ];
    const notes = [
      ...(duplicates > 0 ? [`the same time ${times(duplicates)} again`] : []),
      ...(leapSeconds > 0 ? [`second 60 ${times(leapSeconds)}`] : []),
      ...(secondDecimals.length > 1 ? [`seconds with ${listed(secondDecimals)} decimals`] : []),
    ];
    if (found.length > 0) return { key, title, verdict: 'bad', reason: [...found, ...notes].join('; ') };
    if (notes.length > 0) return { key, title, verdict: 'remark', reason: notes.join('; ') };
    return { key, title, verdict: 'good', reason: 'sentences of an epoch agree, and it never steps back' };
  }

  #dateItem(part: TimePart): Item {
    const { firstDate, lastDate, clockOffsetS } = part;
    const key = 'date';
    const title = 'Date';
    if (firstDate === null || lastDate === null) {
      return { key, title, verdict: 'untested', reason: 'no sentence tells it' };
    }
    const range = firstDate === lastDate ? firstDate : `${firstDate} to ${lastDate}`;
    const say = (verdict: Item['verdict'], what: string): Item => ({
      key,
      title,
      verdict,
      reason: `${range}; ${what}`,
    });
    if (part.dateStepCount > 0) return say('bad', stepsOf(part));
    if (this.#lastValid !== null && isOfFirstWeeks(this.#lastValid.date)) {
      return say('bad', `with a valid fix before 1999-08-22, when the 10-bit week began anew: a rollover is suspected`);
    }
    const rollover = this.#rollover(clockOffsetS);
    if (rollover !== null) return say('bad', rollover);
    if (clockOffsetS === null) return say('good', `${turningOf(part)}; nothing to compare it with`);
    const off = `${lasting(Math.abs(clockOffsetS))} ${clockOffsetS < 0 ? 'behind' : 'ahead of'} this machine's clock`;
    return say(Math.abs(clockOffsetS) <= CLOCK_S ? 'good' : 'remark', `${turningOf(part)}; ${off}`);
  }

  /** A date 1024 weeks before the machine's clock, or before the day that the file was written; or one to come. */
  #rollover(clockOffsetS: number | null): string | null {
    if (this.#lastValid === null) return null;
    const { date, arrivedUtcMs } = this.#lastValid;
    if (arrivedUtcMs !== null) {
      const weeks = rolledOverWeeks(date, arrivedUtcMs);
      if (weeks !== null) return `${weeks} weeks before this machine's clock: a week rollover`;
      const days = (clockOffsetS ?? 0) / SECONDS_PER_DAY;
      return days > 1 ? `${number(days, 0)} days in the future by this machine's clock` : null;
    }
    const weeks = this.#fileMs === undefined ? null : rolledOverWeeks(date, this.#fileMs);
    return weeks === null ? null : `${weeks} weeks before the file was written: a week rollover is suspected`;
  }
}

/** What is wrong with the date, where and when. */
function stepsOf({ dateStepCount, dateSteps }: TimePart): string {
  const told = dateSteps.slice(0, TOLD_STEPS).map(({ from, to, offDays, rolloverWeeks, at, line }) => {
    const where = `${at === null ? '' : ` at ${at.replace(/^.*T|Z$/g, '')}`}, line ${line}`;
    if (from === to) return `does not turn with midnight, line ${line}`;
    const weeks =
      rolloverWeeks === null ? '' : `, ${rolloverWeeks} weeks ${offDays < 0 ? 'back' : 'on'}: a week rollover`;
    return `steps from ${from} to ${to}${where}${weeks}`;
  });
  const more = dateStepCount - told.length;
  return [...told, ...(more > 0 ? [`and ${times(more)} more`] : [])].join('; ');
}

/** What is right with it. */
function turningOf({ midnights, firstDate, lastDate }: TimePart): string {
  if (midnights > 0) return 'turns with midnight';
  return firstDate === lastDate ? 'one date throughout, no midnight in it' : 'no midnight seen to turn it';
}
