import { z } from 'zod';
import { SECONDS_PER_DAY } from '../../base/constants.js';
import { dateOfDay, dayNumberOf, type Utc } from '../../base/time.js';
import { defineFault } from '../fault.js';

const DATE_ERROR = 'expected a day of the years 1900 to 2199 such as 1980-01-06';
const DATE = /^(19|20|21)\d\d-\d\d-\d\d$/;

export const defaultDate = defineFault({
  name: 'default-date',
  title: 'Until the module knows the date it claims a default one, which ticks, and says that time and date are known.',
  stage: 'receiver',
  settings: z.strictObject({
    date: z
      .string({ error: DATE_ERROR })
      .regex(DATE, { error: DATE_ERROR })
      .refine(isDay, { error: DATE_ERROR })
      .default('1980-01-06')
      .describe('the day that it begins at, at 00:00:00: 1980-01-06, or any other such as 2080-01-06'),
  }),
  goodHost: 'Takes no time from a sentence that is not valid, and none that lies before its own making.',
  create: ({ date }) => {
    const day = dayOf(date);
    // The clock starts where the fault finds the date unknown, and where the date is lost later on.
    let startedS: number | null = null;
    let firstTrueDay: number | null = null;
    return {
      report: (report, { sinceS }) => {
        const { utc, dateKnown } = report;
        if (dateKnown) startedS = null;
        if (dateKnown || utc === null) firstTrueDay = null;
        if (dateKnown) return report;
        startedS ??= sinceS;
        const known = { timeKnown: true, dateKnown: true };
        if (utc === null) return { ...report, ...known, utc: utcAt(day, sinceS - startedS), utcMinuteS: 60 };
        // Satellites tell the time of day before they tell the date: from then on only the date is a default.
        const trueDay = dayNumberOf(utc.year, utc.month, utc.day);
        firstTrueDay ??= trueDay;
        return { ...report, ...known, utc: { ...utc, ...dateOfDay(day + trueDay - firstTrueDay) } };
      },
    };
  },
});

function dayOf(date: string): number {
  const [year, month, day] = date.split('-').map(Number) as [number, number, number];
  return dayNumberOf(year, month, day);
}

/** False for a 30th of February. */
function isDay(date: string): boolean {
  const { year, month, day } = dateOfDay(dayOf(date));
  return date === `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/** So many seconds after a day has begun, to the microsecond: so that a whole second is one. */
function utcAt(dayNumber: number, seconds: number): Utc {
  const days = Math.floor(seconds / SECONDS_PER_DAY);
  const ofDayUs = Math.round((seconds - days * SECONDS_PER_DAY) * 1e6);
  const minutes = Math.floor(ofDayUs / 60e6);
  const hour = Math.floor(minutes / 60);
  return {
    ...dateOfDay(dayNumber + days),
    hour,
    minute: minutes - hour * 60,
    second: (ofDayUs - minutes * 60e6) / 1e6,
  };
}
