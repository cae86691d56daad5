import { DEG_PER_RAD } from '../../base/constants.js';
import type { Utc } from '../../base/time.js';
import type { Heading, Mode, Report, SatelliteInView, SuspectSatellite } from '../epoch.js';
import { geoidSeparationM as separationAt } from '../geoid.js';
import { magneticVariationDeg } from '../magnetic-variation.js';
import type { SystemName } from '../sky/system.js';
import { deviationOf } from './deviation.js';
import type { ReceiverSettings } from './settings.js';
import type { Reported } from './smoothing.js';
import type { Solution } from './solution.js';

/** What the receiver knows of the time, as it reports it. */
export interface ReportedTime {
  /** Null: time not known. */
  readonly utc: Utc | null;
  readonly minuteS: 60 | 61;
  readonly dateKnown: boolean;
}

/** What a report is made of. */
export interface ReportParts {
  readonly settings: ReceiverSettings;
  readonly time: ReportedTime;
  /** Null: nothing is reported. */
  readonly place: Reported | null;
  /** The last place that was reported, for a module that goes on showing it; null: there is none. */
  readonly lastPlace: Reported | null;
  /** Null where the place is carried on without satellites. */
  readonly solution: Solution | null;
  readonly used: readonly string[];
  readonly residualsM: readonly number[];
  readonly suspect: SuspectSatellite | null;
  readonly differential: Report['differential'];
  /** Systems that the receiver tracks, and of how many satellites each is used. */
  readonly usedBySystem: ReadonlyMap<SystemName, number>;
  readonly heading: Heading | null;
  readonly inView: readonly SatelliteInView[];
}

/** GGA quality indicator by mode. */
const QUALITY: Readonly<Record<Mode, number>> = { N: 0, A: 1, D: 2, E: 6, S: 8 };

/**
 * The receiver's report: without a place, time and satellites only, and the last place where the module shows that. A
 * place carried on without satellites is reported with mode E and as a 2D fix, and as a rule as valid, which is what
 * modules do (common practice); the standard has it void.
 */
export function composeReport(parts: ReportParts): Report {
  const { settings, time, place, solution, inView } = parts;
  const { utc, minuteS, dateKnown } = time;
  const mode = modeOf(parts);
  const systemModes = modesOf(parts.usedBySystem, mode);
  const clock = { utc, utcMinuteS: minuteS, timeKnown: utc !== null, dateKnown };
  if (place === null) {
    const lost = { ...NO_FIX, ...clock, systemModes, inView };
    return parts.lastPlace === null ? lost : { ...lost, ...placeOf(parts.lastPlace, settings) };
  }
  const { geodetic, eastMps, northMps } = place;
  const { latitudeDeg, longitudeDeg, heightM } = geodetic;
  const speedMps = Math.sqrt(eastMps * eastMps + northMps * northMps);
  const courseDeg = Math.atan2(eastMps, northMps) * DEG_PER_RAD;
  const { altitudeMslM, geoidSeparationM } = heightsOf(place, settings);
  return {
    fix: solution === null || solution.vdop === null ? '2d' : '3d',
    quality: QUALITY[mode],
    mode,
    systemModes,
    status: solution === null ? settings.estimatedStatus : 'A',
    utc,
    utcMinuteS: minuteS,
    timeKnown: clock.timeKnown,
    dateKnown,
    latitudeDeg,
    longitudeDeg,
    altitudeMslM,
    geoidSeparationM,
    speedMps,
    courseDeg: speedMps < settings.courseMinSpeedMps ? null : courseDeg < 0 ? courseDeg + 360 : courseDeg,
    variationDeg:
      dateKnown && utc !== null ? magneticVariationDeg(latitudeDeg, longitudeDeg, heightM, yearOf(utc)) : null,
    heading: parts.heading,
    hdop: solution?.hdop ?? null,
    vdop: solution?.vdop ?? null,
    pdop: solution?.pdop ?? null,
    used: parts.used,
    residualsM: parts.residualsM,
    deviation: solution === null ? null : deviationOf(solution),
    suspect: parts.suspect,
    differential: parts.differential,
    inView,
  };
}

/** A place's heights as this module tells them; null: not. */
function heightsOf(
  { geodetic }: Reported,
  { geoidSeparation, tellsAltitude }: ReceiverSettings,
): Pick<Report, 'altitudeMslM' | 'geoidSeparationM'> {
  const { latitudeDeg, longitudeDeg, heightM } = geodetic;
  const separationM = geoidSeparation === 'zero' ? 0 : separationAt(latitudeDeg, longitudeDeg);
  return {
    altitudeMslM: tellsAltitude ? heightM - separationM : null,
    geoidSeparationM: geoidSeparation === 'blank' ? null : separationM,
  };
}

/** What is told of a place where there is none now. */
function placeOf(place: Reported, settings: ReceiverSettings) {
  const { latitudeDeg, longitudeDeg } = place.geodetic;
  const { altitudeMslM, geoidSeparationM } = heightsOf(place, settings);
  return { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM };
}

function modeOf({ settings, place, solution, differential }: ReportParts): Mode {
  if (place === null) return 'N';
  if (solution === null) return 'E';
  if (settings.simulatorFlags) return 'S';
  return differential === null ? 'A' : 'D';
}

/** The mode of each system: of a place that is carried on, the estimate counts for all. */
function modesOf(usedBySystem: ReadonlyMap<SystemName, number>, mode: Mode): Report['systemModes'] {
  const modes: Partial<Record<SystemName, Mode>> = {};
  for (const [system, used] of usedBySystem) modes[system] = used > 0 || mode === 'E' ? mode : 'N';
  return modes;
}

/** Days before each month of a common year. */
const DAYS_BEFORE = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/** Decimal year to the day: the magnetic field changes by less than 0.001 deg in it. */
export function yearOf({ year, month, day }: Utc): number {
  return year + ((DAYS_BEFORE[month - 1] as number) + day - 1) / 365.25;
}

/** What a report without a place says of it. */
export const NO_FIX = {
  fix: 'none',
  quality: 0,
  mode: 'N',
  status: 'V',
  latitudeDeg: null,
  longitudeDeg: null,
  altitudeMslM: null,
  geoidSeparationM: null,
  speedMps: null,
  courseDeg: null,
  variationDeg: null,
  heading: null,
  hdop: null,
  vdop: null,
  pdop: null,
  used: [],
  residualsM: [],
  deviation: null,
  suspect: null,
  differential: null,
} as const;
