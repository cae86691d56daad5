import { stepOfDayMs } from '../base/step-of-day.js';
import { DAY_MS, dayOf } from '../base/utc-ms.js';
import type { TextDate } from '../grammar/decode.js';
import type { HeardEpoch } from '../grammar/heard-epoch.js';
import { isDefaultDate, rolloverWeeksOf } from './odd-dates.js';

/** A date that is not the one which the date before and the time of day lead to. */
export interface DateStep {
  /** The date before, and the date now: the same where it stays though midnight has passed. */
  readonly from: TextDate;
  readonly to: TextDate;
  /** By so many days it is ahead of the one that was to be expected; negative: behind. */
  readonly offDays: number;
  /** They are so many weeks, 1024 or 2048, give or take a day: a week rollover, or its end; null: they are not. */
  readonly rolloverWeeks: number | null;
}

/** How an epoch's date and time go on from those before. */
export interface DateProgress {
  /** ms; negative: the clock stepped back; null: there is no time, or nobody knows what went by. */
  readonly stepMs: number | null;
  readonly dateStep: DateStep | null;
  /** The date turned, and midnight had passed. */
  readonly hasTurned: boolean;
}

/** A time of day that moves by no more, or by no more than twice what it did before, goes on without a pause, ms. */
const GOES_ON_MS = 10_000;
const GOES_ON_STEPS = 2;
/** A pause is no longer, in whole days: what is more was set anew. */
const MOST_DAYS = 30;

interface Dated {
  readonly date: TextDate;
  readonly isValid: boolean | null;
  /** Midnights that the time of day has passed since, the shorter way; those that it went back over count down. */
  nights: number;
  /** The time of day has gone on without a pause since. */
  isWithoutPause: boolean;
}

/**
 * Holds dates against times of day. The time of day is believed: where it goes on, no days have gone by, whatever the
 * date does. A date that stays is what the next is held against.
 */
export class DateWatch {
  #timeMs: number | null = null;
  #usualMs = 0;
  #dated: Dated | null = null;

  put({ timeOfDayMs, date, isValid }: HeardEpoch): DateProgress {
    if (timeOfDayMs === null) return { stepMs: null, dateStep: null, hasTurned: false };
    const stepMs = this.#timeMs === null ? null : this.#step(this.#timeMs, timeOfDayMs);
    this.#timeMs = timeOfDayMs;
    const before = this.#dated;
    if (date === null) return { stepMs, dateStep: null, hasTurned: false };
    this.#dated = { date, isValid, nights: 0, isWithoutPause: true };
    if (before === null || stepMs === null) return { stepMs, dateStep: null, hasTurned: false };
    const days = dayOf(date) - dayOf(before.date);
    const offDays = days - before.nights;
    if (offDays === 0) return { stepMs, dateStep: null, hasTurned: days !== 0 };
    const isPause = !before.isWithoutPause && offDays > 0 && offDays <= MOST_DAYS;
    // Without a fix a date is a guess, which the next one puts right.
    const isSet = before.isValid === false && days !== 0;
    const isGuess = isValid === false && isDefaultDate(date);
    const step = { from: before.date, to: date, offDays, rolloverWeeks: rolloverWeeksOf(Math.abs(offDays)) };
    const isUnknown = Math.abs(offDays) > MOST_DAYS || isDefaultDate(before.date);
    return {
      stepMs: before.isWithoutPause ? stepMs : isUnknown ? null : stepMs + offDays * DAY_MS,
      dateStep: isPause || isSet || isGuess ? null : step,
      hasTurned: false,
    };
  }

  /** From one time of day to the next: what it says of midnights and pauses is noted. */
  #step(fromMs: number, toMs: number): number {
    const stepMs = stepOfDayMs(fromMs, toMs);
    const goesOn = Math.abs(stepMs) <= Math.max(GOES_ON_MS, GOES_ON_STEPS * this.#usualMs);
    if (stepMs > 0) this.#usualMs = stepMs;
    if (this.#dated !== null) {
      if (stepMs >= 0 && toMs < fromMs) this.#dated.nights += 1;
      if (stepMs < 0 && toMs > fromMs) this.#dated.nights -= 1;
      this.#dated.isWithoutPause &&= goesOn;
    }
    return stepMs;
  }
}
