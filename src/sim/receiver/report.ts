import { DEG_PER_RAD } from '../../base/constants.js';
import type { Utc } from '../../base/time.js';
import type { Report, SatelliteInView } from '../epoch.js';
import { geoidSeparationM } from '../geoid.js';
import type { ReceiverSettings } from './settings.js';
import type { Solution } from './solver.js';

/** What a report is made of. */
export interface ReportParts {
  readonly settings: ReceiverSettings;
  /** Null: time not known. */
  readonly utc: Utc | null;
  readonly dateKnown: boolean;
  readonly solution: Solution | null;
  readonly used: readonly string[];
  readonly inView: readonly SatelliteInView[];
}

/** The receiver's report: without a solution, time and satellites only. */
export function composeReport({ settings, utc, dateKnown, solution, used, inView }: ReportParts): Report {
  const timeKnown = utc !== null;
  if (solution === null) {
    return { ...NO_FIX, utc, timeKnown, dateKnown, inView };
  }
  const { geodetic, eastMps, northMps, hdop, vdop, pdop } = solution;
  const { latitudeDeg, longitudeDeg, heightM } = geodetic;
  const speedMps = Math.sqrt(eastMps * eastMps + northMps * northMps);
  const courseDeg = Math.atan2(eastMps, northMps) * DEG_PER_RAD;
  const separationM = geoidSeparationM(latitudeDeg, longitudeDeg);
  return {
    fix: vdop === null ? '2d' : '3d',
    quality: settings.simulatorFlags ? 8 : 1,
    mode: settings.simulatorFlags ? 'S' : 'A',
    status: 'A',
    utc,
    timeKnown,
    dateKnown,
    latitudeDeg,
    longitudeDeg,
    altitudeMslM: heightM - separationM,
    geoidSeparationM: separationM,
    speedMps,
    courseDeg: speedMps < settings.courseMinSpeedMps ? null : courseDeg < 0 ? courseDeg + 360 : courseDeg,
    hdop,
    vdop,
    pdop,
    used,
    inView,
  };
}

const NO_FIX = {
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
  hdop: null,
  vdop: null,
  pdop: null,
  used: [],
} as const;
