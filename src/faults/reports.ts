import type { Mode, Report } from '../sim/epoch.js';
import { geoidSeparationM } from '../sim/geoid.js';
import { magneticVariationDeg } from '../sim/magnetic-variation.js';
import { NO_FIX, yearOf } from '../sim/receiver/report.js';
import type { SystemName } from '../sim/sky/system.js';

/** A place as a report states it. */
interface ReportedPlace {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  /** Above the ellipsoid, m. */
  readonly heightM: number;
}

/** What belongs to a place in a report: the height above the sea by the geoid there, and the magnetic variation. */
export function placeIn(
  { dateKnown, utc }: Pick<Report, 'dateKnown' | 'utc'>,
  { latitudeDeg, longitudeDeg, heightM }: ReportedPlace,
): Pick<Report, 'latitudeDeg' | 'longitudeDeg' | 'altitudeMslM' | 'geoidSeparationM' | 'variationDeg'> {
  const separationM = geoidSeparationM(latitudeDeg, longitudeDeg);
  return {
    latitudeDeg,
    longitudeDeg,
    altitudeMslM: heightM - separationM,
    geoidSeparationM: separationM,
    variationDeg:
      dateKnown && utc !== null ? magneticVariationDeg(latitudeDeg, longitudeDeg, heightM, yearOf(utc)) : null,
  };
}

/** A report without a fix, as the receiver itself makes it: time and satellites in view are left. */
export function withoutFix(report: Report): Report {
  return { ...report, ...NO_FIX, systemModes: allOf(report.systemModes, 'N') };
}

/** The same mode for every system that the receiver has. */
export function allOf(systemModes: Report['systemModes'], mode: Mode): Report['systemModes'] {
  const modes: Partial<Record<SystemName, Mode>> = {};
  for (const system in systemModes) modes[system as SystemName] = mode;
  return modes;
}
