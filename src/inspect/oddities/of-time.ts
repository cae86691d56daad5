import { stepOfDayMs } from '../../base/step-of-day.js';
import { DAY_MS, dayOf, utcMsAt } from '../../base/utc-ms.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import { isDefaultDate, isOfFirstWeeks, rolledOverWeeks } from '../odd-dates.js';
import type { StampVerdict } from '../stamp-order.js';
import { straySentence } from '../stray-sentence.js';
import { bySentence, byWatch, type Look, type Note, type Recogniser, type Watch } from './recogniser.js';

/** A leap second correction is at most so large, and comes with the subframe that brings it, s. */
const MOST_LEAP_S = 25;
const LEAP_KNOWN_S = 13 * 60;
/** Close to midnight, ms. */
const NIGHT_MS = 60_000;
const STAMPED = ['RMC', 'GGA', 'GNS', 'GLL', 'ZDA'] as const;

/** Oddities of date and time. */
export const ODDITIES_OF_TIME: readonly Recogniser[] = [
  bySentence('default-date', 'bad', ['RMC'], ({ status, date }) => {
    return status === 'V' && date !== null && isDefaultDate(date);
  }),
  byWatch('midnight-stale-date', 'bad', (note) => {
    let turned: number | null = null;
    let day: number | null = null;
    return stamped((heard, timeMs) => {
      if (heard.decoded?.of === 'RMC' && heard.decoded.date !== null) {
        const today = dayOf(heard.decoded.date);
        if (day !== null && today === day + 1) turned = timeMs;
        day = today;
      }
      if (turned !== null && timeMs > NIGHT_MS && timeMs < DAY_MS / 2) turned = null;
      if (turned !== null && turned < NIGHT_MS && timeMs > DAY_MS - NIGHT_MS) note(heard.piece);
    });
  }),
  byWatch('week-rollover', 'bad', (note, { isArrivalUtc = false, fileMs }) => ({
    epoch: ({ epoch, arrivalMs, piece, dateStep }) => {
      const hasStepped = dateStep !== null && dateStep.rolloverWeeks !== null;
      if (hasStepped) note(piece, epoch);
      if (hasStepped || epoch.isValid !== true || epoch.date === null) return;
      const nowMs = isArrivalUtc ? arrivalMs : (fileMs ?? null);
      const isBehind = nowMs !== null && rolledOverWeeks(epoch.date, nowMs) !== null;
      if (isOfFirstWeeks(epoch.date) || isBehind) note(piece, epoch);
    },
  })),
  bySentence('time-fraction', 'remark', ['RMC', 'GGA'], (_words, [time = '']) => {
    return time !== '' && (time.split('.')[1]?.length ?? 0) !== 2;
  }),
  byWatch('second-straddle', 'remark', (note, { isArrivalUtc = false }) => {
    let before: number | null = null;
    return {
      of: {
        RMC: ({ piece, decoded }) => {
          if (!isArrivalUtc || piece.endMs === null || decoded?.of !== 'RMC') return;
          if (decoded.date === null || decoded.timeOfDayMs === null) return;
          const utcMs = utcMsAt(decoded.date, decoded.timeOfDayMs);
          const lateMs = piece.endMs - utcMs;
          // The same time once more is late for another reason.
          if (utcMs !== before && lateMs >= 1000 && lateMs < 2000) note(piece);
          before = utcMs;
        },
      },
    };
  }),
  bySentence('date-blank', 'remark', ['RMC'], ({ timeOfDayMs }, fields) => timeOfDayMs !== null && fields[8] === ''),
  bySentence(
    'leap-second-60',
    'remark',
    [...STAMPED],
    ({ timeOfDayMs }) => timeOfDayMs !== null && timeOfDayMs >= DAY_MS,
  ),
  bySentence('zda-zone', 'remark', ['ZDA'], ({ timeOfDayMs, date }, fields) => {
    return timeOfDayMs !== null && date !== null && !/^[+-]?0?0$/.test(fields[4] ?? '');
  }),
  byWatch('time-before-fix', 'remark', (note) => {
    let hadFix = false;
    return {
      of: {
        RMC: ({ piece, decoded }) => {
          if (decoded?.of !== 'RMC' || hadFix) return;
          if (decoded.status === 'A') hadFix = true;
          else if (decoded.timeOfDayMs !== null) note(piece);
        },
      },
    };
  }),
  byWatch('leap-offset-late', 'bad', watchLeapOffset),
  byWatch('time-backwards', 'bad', (note) =>
    stamped((heard, _timeMs, stamp) => {
      if (stamp === 'back') note(heard.piece);
    }),
  ),
  byWatch('duplicate-epoch', 'bad', (note) => {
    let before = '';
    return {
      of: {
        RMC: ({ piece, decoded }) => {
          if (decoded?.of === 'RMC' && decoded.timeOfDayMs !== null && piece.text === before) note(piece);
          before = piece.text;
        },
      },
    };
  }),
  byWatch('wrong-epoch-pairing', 'bad', (note) => ({
    epoch: ({ epoch }) => {
      const stray = straySentence(epoch);
      if (stray !== null) note(stray.piece, epoch);
    },
  })),
];

/** Sees all sentences that carry a time. */
function stamped(see: (heard: Heard, timeMs: number, stamp: StampVerdict | null) => void): Watch {
  const look: Look = (heard, stamp) => {
    const { decoded } = heard;
    if (decoded !== null && 'timeOfDayMs' in decoded && decoded.timeOfDayMs !== null) {
      see(heard, decoded.timeOfDayMs, stamp);
    }
  };
  return { of: Object.fromEntries(STAMPED.map((name) => [name, look])) };
}

/** One step back by whole seconds, soon after the start, and none but that one. */
function watchLeapOffset(note: Note): Watch {
  let before: number | null = null;
  let usualMs = 1000;
  let steps = 0;
  let isOther = false;
  return {
    epoch: ({ epoch, tS, piece, stampStepS }) => {
      const timeMs = epoch.timeOfDayMs;
      if (timeMs === null) return;
      const stepMs = before === null ? null : stepOfDayMs(before, timeMs);
      before = timeMs;
      if (stepMs === null || stampStepS === null) return;
      if (stepMs > 0) {
        // Forward again, or a gap: that is something else.
        if (stepMs > 2 * usualMs) isOther ||= steps > 0;
        else usualMs = stepMs;
        return;
      }
      const movedS = (stepMs - usualMs) / 1000;
      const isWhole = Math.abs(movedS - Math.round(movedS)) < 0.01 && movedS <= -1 && movedS >= -MOST_LEAP_S;
      if (stepMs === 0) return;
      steps += 1;
      if (isWhole && tS <= LEAP_KNOWN_S) note(piece, epoch);
      else isOther = true;
    },
    end: () => steps === 1 && !isOther,
  };
}
