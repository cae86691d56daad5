import { z } from 'zod';
import { SECONDS_PER_DAY } from '../../base/constants.js';
import type { LeapSeconds } from '../../base/leap-seconds.js';
import { quantity } from '../../base/quantity-schema.js';
import { addSeconds, dateOfDay, dayNumberOf, gpsFromUtc, type Utc, utcFromGps } from '../../base/time.js';
import { defineFault } from '../fault.js';

/** A hundred years, s. */
const LONGEST_S = 36_525 * 86_400;

/** The time is rounded to so many parts of a second, far below what a sentence shows: a whole second stays one. */
const GRAINS = 1e9;

export const timeStep = defineFault({
  name: 'time-step',
  title: 'The reported clock steps back, or forward, runs on so much off, and steps right again at the end.',
  stage: 'receiver',
  settings: z.strictObject({
    by: quantity('duration', { min: -LONGEST_S, max: LONGEST_S })
      .prefault('-1 s')
      .describe('how far the clock is off: -1 s steps back and later forward again, 3600 s forward and later back'),
  }),
  goodHost: 'Measures intervals by a clock of its own, takes no negative or absurd one, and does not step with it.',
  create: ({ by }) => {
    // Whole days move the date alone, as a week number does that is wrong; seconds are counted, leap seconds with them.
    const days = Math.trunc(by / SECONDS_PER_DAY);
    const seconds = by - days * SECONDS_PER_DAY;
    return {
      report: (report, { leapSeconds }) => {
        if (report.utc === null) return report;
        const utc = later(report.utc, seconds, leapSeconds);
        return { ...report, utc: otherDay(utc, days), utcMinuteS: minuteOf(utc, leapSeconds) };
      },
    };
  },
});

function later(utc: Utc, byS: number, leapSeconds: LeapSeconds): Utc {
  const { week, towS } = addSeconds(gpsFromUtc(utc, leapSeconds), byS);
  return utcFromGps(addSeconds({ week, towS: Math.round(towS * GRAINS) / GRAINS }, 0), leapSeconds);
}

function otherDay(utc: Utc, days: number): Utc {
  return days === 0 ? utc : { ...utc, ...dateOfDay(dayNumberOf(utc.year, utc.month, utc.day) + days) };
}

/** Length of the minute that a time is in, s. */
function minuteOf({ year, month, day, hour, minute }: Utc, leapSeconds: LeapSeconds): 60 | 61 {
  const isLast = hour === 23 && minute === 59;
  return isLast && leapSeconds.endsWithLeapSecond(dayNumberOf(year, month, day)) ? 61 : 60;
}
