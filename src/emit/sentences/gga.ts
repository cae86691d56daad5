import { fixedOrBlank, two } from './fields.js';
import type { ReportText } from './report-text.js';

/** GGA: time, position, quality, satellites used, HDOP, altitude above mean sea level, geoid separation. */
export function gga({ report, style, time, position, hdop }: ReportText): string[] {
  const altitude = fixedOrBlank(report.altitudeMslM, style.altitudeDecimals);
  const separation = fixedOrBlank(report.geoidSeparationM, style.altitudeDecimals);
  const unit = report.altitudeMslM === null ? '' : 'M';
  const used = two(report.used.length);
  return [`GGA,${time},${position},${report.quality},${used},${hdop},${altitude},${unit},${separation},${unit},,`];
}
