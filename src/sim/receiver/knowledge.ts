import { SECONDS_PER_DAY } from '../../base/constants.js';
import type { LeapSeconds } from '../../base/leap-seconds.js';
import { dateOfDay, dayNumberOf, type GpsTime, type Utc, utcFromGps } from '../../base/time.js';
import {
  BDT_FIRST_GPS_WEEK,
  bdtFromGps,
  DAYS_OF_FOUR_YEARS,
  GST_FIRST_GPS_WEEK,
  glonassInterval,
  resolveWeek,
  WEEKS_TO_ROLLOVER,
} from '../../base/time-scales.js';
import type { StartKind } from '../epoch.js';
import type { SystemName } from '../sky/system.js';
import type { ReceiverSettings } from './settings.js';

/**
 * Bits of GLONASS's number of the four-year interval: it begins anew after so many (GLONASS ICD 5.1, table 4.6: N4).
 */
const N4_TO_ROLLOVER = 32;

/** GPS time and UTC differ by less, with a minute to spare, s. */
const NEAR_MIDNIGHT_S = 600;

/** What the receiver knows beside the satellites: time, date, GPS - UTC. */
export class Knowledge {
  readonly #settings: Pick<ReceiverSettings, 'assumedLeapSeconds' | 'firmwareWeek'>;
  readonly #leap: LeapSeconds;
  #timeKnown = false;
  #dateKnown = false;
  /** GPS - UTC comes from a message, not from the firmware. */
  #leapKnown = false;
  /** The date that it believes less the true one, days: what truncated week numbers leave open. */
  #aheadDays = 0;

  constructor(settings: Pick<ReceiverSettings, 'assumedLeapSeconds' | 'firmwareWeek'>, leap: LeapSeconds) {
    this.#settings = settings;
    this.#leap = leap;
  }

  get timeKnown(): boolean {
    return this.#timeKnown;
  }

  get dateKnown(): boolean {
    return this.#dateKnown;
  }

  /**
   * The run's first power-up: a warm or hot start remembers all of it from before, the date as it was resolved then.
   * @param gps the true time
   * @param system whose week the date was resolved from
   */
  start(kind: StartKind, gps: GpsTime, system: SystemName = 'gps'): void {
    this.restart('cold');
    if (kind === 'cold') return;
    this.learnTime();
    this.learnDate(system, gps);
    this.learnLeap();
  }

  /** A power-up in mid-run: a warm or hot start keeps what had been known, a cold one nothing. */
  restart(kind: StartKind): void {
    if (kind !== 'cold') return;
    this.#timeKnown = false;
    this.#dateKnown = false;
    this.#leapKnown = false;
    this.#aheadDays = 0;
  }

  learnTime(): void {
    this.#timeKnown = true;
  }

  /**
   * A message's week or date. Which system's came first decides: the others are not asked any more.
   * @param trueGps time by the message, with its week in full
   */
  learnDate(system: SystemName, trueGps: GpsTime): void {
    if (this.#dateKnown) return;
    this.#dateKnown = true;
    this.#aheadDays = this.#daysAhead(system, trueGps);
  }

  learnLeap(): void {
    this.#leapKnown = true;
  }

  /**
   * UTC as the receiver has it; null without time. The date in it counts only with {@link dateKnown}.
   * @param gps its time, with the true week
   */
  utcOf(gps: GpsTime): Utc | null {
    if (!this.#timeKnown) return null;
    const utc = utcFromGps(gps, this.#gpsMinusUtc());
    if (this.#aheadDays === 0) return utc;
    const { year, month, day } = dateOfDay(dayNumberOf(utc.year, utc.month, utc.day) + this.#aheadDays);
    return { year, month, day, hour: utc.hour, minute: utc.minute, second: utc.second };
  }

  /** Length of the present minute as the receiver knows it, s: 61 where a leap second ends it. */
  minuteS(gps: GpsTime): 60 | 61 {
    // UTC's days end within minutes of GPS time's.
    const ofDayS = gps.towS % SECONDS_PER_DAY;
    if (ofDayS > NEAR_MIDNIGHT_S && ofDayS < SECONDS_PER_DAY - NEAR_MIDNIGHT_S) return 60;
    const leap = this.#gpsMinusUtc();
    if (typeof leap === 'number') return 60;
    const utc = utcFromGps(gps, leap);
    if (utc.hour !== 23 || utc.minute !== 59) return 60;
    return leap.endsWithLeapSecond(dayNumberOf(utc.year, utc.month, utc.day)) ? 61 : 60;
  }

  /** What it reckons with: the right table, or the firmware's fixed seconds. */
  #gpsMinusUtc(): LeapSeconds | number {
    const { assumedLeapSeconds } = this.#settings;
    return this.#leapKnown || assumedLeapSeconds === null ? this.#leap : assumedLeapSeconds;
  }

  /**
   * How far the date resolved from a system's truncated count, from the firmware's week on, is from the true one,
   * days.
   */
  #daysAhead(system: SystemName, gps: GpsTime): number {
    const { firmwareWeek } = this.#settings;
    if (firmwareWeek === null) return 0;
    const resolved = (week: number, modulus: number, firstGpsWeek: number) =>
      (resolveWeek(week, modulus, firmwareWeek - firstGpsWeek) - week) * 7;
    switch (system) {
      case 'galileo':
        return resolved(gps.week - GST_FIRST_GPS_WEEK, WEEKS_TO_ROLLOVER.galileo, GST_FIRST_GPS_WEEK);
      case 'beidou':
        return resolved(bdtFromGps(gps).bdtWeek, WEEKS_TO_ROLLOVER.beidou, BDT_FIRST_GPS_WEEK);
      case 'glonass': {
        const n4 = glonassInterval(gps, this.#leap);
        const notBefore = glonassInterval({ week: firmwareWeek, towS: 0 }, this.#leap);
        return (resolveWeek(n4, N4_TO_ROLLOVER, notBefore) - n4) * DAYS_OF_FOUR_YEARS;
      }
      case 'navic':
        return resolved(gps.week - GST_FIRST_GPS_WEEK, WEEKS_TO_ROLLOVER.navic, GST_FIRST_GPS_WEEK);
      default:
        return resolved(gps.week, WEEKS_TO_ROLLOVER.gps, 0);
    }
  }
}
