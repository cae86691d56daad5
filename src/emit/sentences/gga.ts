import { fixedOrBlank } from './fields.js';
import type { ReportText } from './report-text.js';

/** GGA: time, position, quality, satellites used, HDOP, altitude, geoid separation, differential corrections. */
export function gga(text: ReportText): void {
  const { report, style, time, position, used, hdop } = text;
  const unit = report.altitudeMslM === null ? '' : 'M';
  const separationUnit = report.geoidSeparationM === null ? '' : 'M';
  text.sendFitting(style.altitudeDecimals, (decimals) => {
    const altitude = fixedOrBlank(report.altitudeMslM, decimals);
    const separation = fixedOrBlank(report.geoidSeparationM, decimals);
    const heights = `${altitude},${unit},${separation},${separationUnit}`;
    return `GGA,${time},${position},${report.quality},${used},${hdop},${heights},${text.differential}`;
  });
}
