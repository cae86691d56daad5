import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from '../../../base/constants.js';
import type { LeapSeconds } from '../../../base/leap-seconds.js';
import { addSeconds, dateOfDay, dayNumberOf, type GpsTime, gpsFromUtc, utcFromGps } from '../../../base/time.js';
import { gpsSeconds } from '../../../base/time-scales.js';

/** When a satellite begins to send a new record, and the reference times of those: counted without end. */
export interface Schedule {
  /** Number of the record that is being sent at a time. */
  indexAt(time: GpsTime): number;
  /** Reference time of a record. */
  toeOf(index: number): GpsTime;
  /** From the first sending of a record to its reference time, s. */
  readonly leadS: number;
}

/**
 * New records at even intervals of a system's time.
 * @param aheadOfGpsS GPS time minus the system's time, s
 */
export function evenSchedule(intervalS: number, leadS: number, aheadOfGpsS = 0): Schedule {
  return {
    leadS,
    indexAt: (time) => Math.floor((gpsSeconds(time) - aheadOfGpsS + leadS) / intervalS),
    toeOf: (index) => {
      const seconds = index * intervalS + aheadOfGpsS;
      const week = Math.floor(seconds / SECONDS_PER_WEEK);
      return { week, towS: seconds - week * SECONDS_PER_WEEK };
    },
  };
}

/** GLONASS ICD 5.1, 4.4: the state's time lies in the middle of the half hour in which it is sent. */
const HALF_HOUR_S = 1800;

/** GLONASS: reference times a quarter before and after each full hour of UTC (and of UTC + 3 h). */
export function glonassSchedule(leap: LeapSeconds): Schedule {
  const perDay = SECONDS_PER_DAY / HALF_HOUR_S;
  return {
    leadS: HALF_HOUR_S / 2,
    indexAt: (time) => {
      const utc = utcFromGps(time, leap);
      const second = utc.hour * 3600 + utc.minute * 60 + utc.second;
      // A leap second belongs to its day's last half hour.
      const inDay = Math.min(Math.floor(second / HALF_HOUR_S), perDay - 1);
      return dayNumberOf(utc.year, utc.month, utc.day) * perDay + inDay;
    },
    toeOf: (index) => {
      const day = Math.floor(index / perDay);
      const midnight = gpsFromUtc({ ...dateOfDay(day), hour: 0, minute: 0, second: 0 }, leap);
      return addSeconds(midnight, (index - day * perDay + 0.5) * HALF_HOUR_S);
    },
  };
}
