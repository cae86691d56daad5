import { SECONDS_PER_DAY } from '../../base/constants.js';
import type { LeapSeconds } from '../../base/leap-seconds.js';
import { addSeconds, dayNumberOf, type GpsTime, secondsBetween, utcFromGps } from '../../base/time.js';
import { bdtFromGps, GPS_MINUS_BDT_S } from '../../base/time-scales.js';
import type { BroadcastRecord, KeplerRecord, StateRecord } from '../../sim/sky/broadcast-record.js';
import { calendarOf, scientific, two } from './format.js';

const M_PER_KM = 1000;
/** GPS's default fit interval, h (IS-GPS-200N, 20.3.4.4). */
const FIT_HOURS = 4;

/** One record of a navigation file: its epoch's line with three values, and up to four values in each further line. */
export function recordLines(record: BroadcastRecord, leapSeconds: LeapSeconds): string {
  if (record.kind === 'kepler') return keplerLines(record);
  return record.system === 'glonass' ? glonassLines(record, leapSeconds) : sbasLines(record);
}

/** RINEX 3.04, tables A6 (GPS), A8 (Galileo), A12 (QZSS), A14 (BeiDou), A18 (NavIC). */
function keplerLines(r: KeplerRecord): string {
  const isBeidou = r.system === 'beidou';
  // BeiDou's times are in its own scale; the week of Galileo and NavIC is counted as that of GPS.
  const own = (time: GpsTime) => (isBeidou ? addSeconds(time, -GPS_MINUS_BDT_S) : time);
  const toeTow = own(r.toe).towS;
  const week = isBeidou ? bdtFromGps(r.toe).bdtWeek : r.toe.week;
  // In the week of the reference time, where it may be negative.
  const sentTow = toeTow + secondsBetween(r.sentAt, r.toe);
  return (
    firstLine(r.id, own(r.toc), [r.clock.af0S, r.clock.af1, r.clock.af2PerS]) +
    line(r.iode, r.crsM, r.meanMotionDeltaRadps, r.meanAnomalyRad) +
    line(r.cucRad, r.eccentricity, r.cusRad, r.rootSemiMajor) +
    line(toeTow, r.cicRad, r.nodeRad, r.cisRad) +
    line(r.inclinationRad, r.crcM, r.perigeeRad, r.nodeRateRadps) +
    lastLines(r, week, sentTow)
  );
}

/** The three lines in which the systems differ. */
function lastLines(r: KeplerRecord, week: number, sentTow: number): string {
  const [first, second] = r.groupDelaysS;
  const quality = [r.accuracyM, r.healthBits, first] as const;
  switch (r.system) {
    case 'galileo':
      return line(r.inclinationRateRadps, r.dataSource, week) + line(...quality, second) + line(sentTow);
    case 'beidou':
      return line(r.inclinationRateRadps, 0, week) + line(...quality, second) + line(sentTow, r.iodc);
    case 'navic':
      return line(r.inclinationRateRadps, 0, week) + line(...quality) + line(sentTow);
    case 'qzss':
      // Codes on L2 and the flag of its data are fixed; the fit interval is a flag, 0 for the usual one.
      return line(r.inclinationRateRadps, 2, week, 1) + line(...quality, r.iodc) + line(sentTow, 0);
    default:
      return (
        line(r.inclinationRateRadps, 1, week, 0) + line(...quality, r.iodc) + line(sentTow, r.fitHours || FIT_HOURS)
      );
  }
}

/** RINEX 3.04, table A10: the epoch in UTC, the frame's time in seconds of UTC's week, km. */
function glonassLines(r: StateRecord, leapSeconds: LeapSeconds): string {
  const frame = utcFromGps(r.sentAt, leapSeconds);
  // 1970-01-01 was a Thursday: day 4 of a week that begins on Sunday.
  const dayOfWeek = (dayNumberOf(frame.year, frame.month, frame.day) + 4) % 7;
  const frameS = dayOfWeek * SECONDS_PER_DAY + frame.hour * 3600 + frame.minute * 60 + Math.floor(frame.second);
  const utc = utcFromGps(r.toe, leapSeconds);
  const { year, month, day, hour, minute, second } = utc;
  const date = `${year} ${two(month)} ${two(day)} ${two(hour)} ${two(minute)} ${two(Math.floor(second))}`;
  return `${r.id} ${date}${values([r.clockBiasS, r.clockDrift, frameS])}\n${stateLines(r, r.frequencyNumber)}`;
}

/** RINEX 3.04, table A16: all times in GPS time. */
function sbasLines(r: StateRecord): string {
  const sentTow = r.toe.towS + secondsBetween(r.sentAt, r.toe);
  return firstLine(r.id, r.toe, [r.clockBiasS, r.clockDrift, sentTow]) + stateLines(r, r.accuracyM);
}

function stateLines(r: StateRecord, ofSecondLine: number): string {
  const axis = (index: 0 | 1 | 2) =>
    [r.positionM[index] / M_PER_KM, r.velocityMps[index] / M_PER_KM, r.accelerationMps2[index] / M_PER_KM] as const;
  return line(...axis(0), r.healthBits) + line(...axis(1), ofSecondLine) + line(...axis(2), r.age);
}

/** A3,1X,I4,5(1X,I2.2),3D19.12 */
function firstLine(id: string, time: GpsTime, three: readonly number[]): string {
  const { year, month, day, hour, minute, second } = calendarOf(time, 1);
  const date = `${year} ${two(month)} ${two(day)} ${two(hour)} ${two(minute)} ${two(second)}`;
  return `${id} ${date}${values(three)}\n`;
}

/** 4X,4D19.12 */
function line(...four: readonly number[]): string {
  return `    ${values(four)}\n`;
}

function values(numbers: readonly number[]): string {
  let text = '';
  for (const number of numbers) text += scientific(number, 19, 12);
  return text;
}
