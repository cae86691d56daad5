import type { LeapSeconds } from '../../base/leap-seconds.js';
import { dayNumberOf, type GpsTime, utcFromGps } from '../../base/time.js';
import { bdtFromGps } from '../../base/time-scales.js';
import type { KlobucharCoefficients } from '../../sim/signal/atmosphere/klobuchar.js';
import type { Satellite } from '../../sim/sky/orbit.js';
import type { SystemName } from '../../sim/sky/system.js';
import { headerLine, leapLine, openingLines, scientific, type TextSink } from './format.js';
import { recordLines } from './navigation-record.js';

/** What a navigation file is made from. */
export interface NavigationFacts {
  readonly satellites: readonly Pick<Satellite, 'id' | 'system' | 'broadcast'>[];
  readonly klobuchar: KlobucharCoefficients;
  /** What times after the start are counted from. */
  readonly start: GpsTime;
  /** How long after the start the observations end, s. */
  readonly durationS: number;
  readonly leapSeconds: LeapSeconds;
}

/**
 * How long before and after the run records are given, s: solvers take the nearest one, up to two hours away, and one
 * of Galileo only once its reference time has passed (found by trying). Those of SBAS follow in minutes.
 */
const BEFORE_S = 4 * 3600;
const AFTER_S = 2 * 3600;
const AROUND_SBAS_S = 600;

/**
 * Corrections from each system's time to UTC: the simulated systems keep UTC's beat. Their reference time is in weeks
 * of GPS, or of BDT for BeiDou; GLONASS has none (RINEX 3.04, table A5).
 */
const TO_UTC: Readonly<Partial<Record<SystemName, string>>> = {
  gps: 'GPUT',
  glonass: 'GLUT',
  galileo: 'GAUT',
  beidou: 'BDUT',
  qzss: 'QZUT',
  navic: 'IRUT',
};

/**
 * Writes the navigation messages of a run's satellites as a RINEX navigation file, satellite after satellite.
 * Source: RINEX 3.04, tables A5 (header), A6, A8, A10, A12, A14, A16 and A18 (records).
 */
export function writeNavigation(sink: TextSink, facts: NavigationFacts): void {
  const { satellites, durationS, leapSeconds } = facts;
  sink(header(facts));
  for (const { system, broadcast } of satellites) {
    const [beforeS, afterS] = system === 'sbas' ? [AROUND_SBAS_S, AROUND_SBAS_S] : [BEFORE_S, AFTER_S];
    let text = '';
    for (const record of broadcast.records(-beforeS, durationS + afterS)) text += recordLines(record, leapSeconds);
    if (text !== '') sink(text);
  }
}

function header({ satellites, klobuchar, start, leapSeconds }: NavigationFacts): string {
  const madeAt = utcFromGps(start, leapSeconds);
  const ionosphere = (name: string, values: readonly number[]) =>
    headerLine(`${name} ${values.map((value) => scientific(value, 12, 4)).join('')}`, 'IONOSPHERIC CORR');
  const present = Object.entries(TO_UTC).filter(([name]) => satellites.some(({ system }) => system === name));
  const zeros = scientific(0, 17, 10) + scientific(0, 16, 9);
  return (
    openingLines('N: GNSS NAV DATA', madeAt) +
    ionosphere('GPSA', klobuchar.alpha) +
    ionosphere('GPSB', klobuchar.beta) +
    present.map(([, name]) => headerLine(`${name} ${zeros}${referenceOf(name, start)}`, 'TIME SYSTEM CORR')).join('') +
    leapLine(leapSeconds.gpsMinusUtcOnDayS(dayNumberOf(madeAt.year, madeAt.month, madeAt.day))) +
    headerLine('', 'END OF HEADER')
  );
}

/** I7,I5: seconds of the week, and the week. */
function referenceOf(correction: string, start: GpsTime): string {
  let { week, towS } = start;
  if (correction === 'GLUT') [week, towS] = [0, 0];
  if (correction === 'BDUT') ({ bdtWeek: week, sowS: towS } = bdtFromGps(start));
  return `${String(Math.floor(towS)).padStart(7)}${String(week).padStart(5)}`;
}
