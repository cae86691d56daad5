import { DAY_MS, dateLabel } from '../base/utc-ms.js';
import { cut, printable } from '../base/visible.js';
import type { TextDate } from '../grammar/decode.js';
import type { Heard, HeardEpoch } from '../grammar/heard-epoch.js';
import { isSound } from '../grammar/is-sound.js';
import type { Piece } from '../grammar/splitter.js';
import { type DateStep, DateWatch } from './date-watch.js';
import type { Occurrence } from './inspect-report.js';
import { StampOrder, type StampVerdict } from './stamp-order.js';

/** An epoch with its place in time. */
export interface TimedEpoch {
  readonly epoch: HeardEpoch;
  /** Since the first epoch, s: never goes back. By the stamps; where they do not tell, by arrival, else estimated. */
  readonly tS: number;
  /**
   * Since the epoch before, by the stamps, s; negative: the clock stepped back. Null: one of both has no stamp, or the
   * date was set anew in between.
   */
  readonly stampStepS: number | null;
  /** How its date goes on from the one before, where the time of day leads to another; null: it leads to this. */
  readonly dateStep: DateStep | null;
  /** The date turned with midnight here. */
  readonly hasTurned: boolean;
  /** Since the epoch before, by the arrival of their first bytes, s; null: not known. */
  readonly arrivalStepS: number | null;
  /** When its first byte arrived, the caller's ms. */
  readonly arrivalMs: number | null;
  /** The piece that it begins with. */
  readonly piece: Piece;
}

/** Text of a place in the stream is cut to so many characters. */
const LONGEST_TEXT = 120;

/** What is taken for the time between epochs until the stream tells, s: the rate that modules start with. */
const USUAL_INTERVAL_S = 1;

/** Keeps the stream's own time: where it stands, and how much has gone by. */
export class StreamClock {
  readonly #order = new StampOrder();
  #timeOfDayMs: number | null = null;
  #date: TextDate | null = null;
  readonly #dates = new DateWatch();
  #stamped: { tS: number; index: number } | null = null;
  #arrivalMs: number | null = null;
  #usualS = USUAL_INTERVAL_S;
  #tS = 0;
  #isFirst = true;

  /**
   * Takes note of a sentence's time.
   * @returns what it is to the times before; null: it tells none
   */
  see(heard: Heard): StampVerdict | null {
    const { decoded } = heard;
    if (decoded === null || !isSound(heard)) return null;
    if ('date' in decoded && decoded.date !== null) this.#date = decoded.date;
    if (!('timeOfDayMs' in decoded) || decoded.timeOfDayMs === null) return null;
    this.#timeOfDayMs = decoded.timeOfDayMs;
    return this.#order.put(decoded.of, decoded.timeOfDayMs);
  }

  /** Puts an epoch in its place in time. */
  time(epoch: HeardEpoch): TimedEpoch {
    const { piece } = epoch.sentences[0] as Heard;
    const { stepMs, dateStep, hasTurned } = this.#dates.put(epoch);
    const sinceStampS = stepMs === null ? null : stepMs / 1000;
    const stampStepS = this.#stamped?.index === epoch.index - 1 ? sinceStampS : null;
    const arrivalMs = piece.startMs;
    const before = this.#arrivalMs;
    const arrivalStepS = arrivalMs === null || before === null ? null : (arrivalMs - before) / 1000;
    this.#arrivalMs = arrivalMs;
    if (this.#isFirst) this.#isFirst = false;
    else if (this.#stamped !== null && sinceStampS !== null && sinceStampS >= 0) {
      // What was estimated since, for epochs without a stamp, is put right.
      this.#tS = Math.max(this.#tS, this.#stamped.tS + sinceStampS);
    } else this.#tS += arrivalStepS ?? this.#usualS;
    if (stampStepS !== null && stampStepS > 0 && stampStepS <= 10) this.#usualS = stampStepS;
    if (epoch.timeOfDayMs !== null) this.#stamped = { tS: this.#tS, index: epoch.index };
    return { epoch, tS: this.#tS, stampStepS, dateStep, hasTurned, arrivalStepS, arrivalMs, piece };
  }

  /** A place in the stream, with the stream's time there, or the time of the epoch that it is of. */
  occurrence(piece: Piece, epoch?: HeardEpoch): Occurrence {
    const at =
      epoch === undefined
        ? this.label()
        : epoch.timeOfDayMs === null
          ? null
          : labelOf(epoch.date ?? this.#date, epoch.timeOfDayMs);
    return { line: piece.line, at, text: printable(cut(piece.text, LONGEST_TEXT)) };
  }

  /** `2026-03-01T12:00:20Z`, `12:00:20`; null: no sentence has told. */
  label(): string | null {
    return this.#timeOfDayMs === null ? null : labelOf(this.#date, this.#timeOfDayMs);
  }
}

/** A UTC time as text: `2026-03-01T12:00:20Z`, without a date `12:00:20`; decimals where they are not zero. */
export function labelOf(date: TextDate | null, timeOfDayMs: number): string {
  const isLeap = timeOfDayMs >= DAY_MS;
  const ofDay = isLeap ? timeOfDayMs - 1000 : timeOfDayMs;
  const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
  const second = isLeap ? 60 : (ofDay / 1000) % 60;
  const ms = timeOfDayMs % 1000;
  const decimals = ms === 0 ? '' : `.${String(ms).padStart(3, '0')}`;
  const time = `${two(ofDay / 3_600_000)}:${two((ofDay / 60_000) % 60)}:${two(second)}${decimals}`;
  return date === null ? time : `${dateLabel(date)}T${time}Z`;
}
