import { bearing, fixed } from './fields.js';
import type { ReportText } from './report-text.js';

/** VTG: course over ground, true and magnetic, speed in knots and km/h, mode; where the style has it, empty at rest. */
export function vtg(text: ReportText): void {
  const { report, style, courseDeg, speedKn, mode } = text;
  const { speedMps, variationDeg } = report;
  if (style.vtgAtRest === 'blank' && report.courseDeg === null) {
    text.send(`VTG,,T,,M,,N,,K${mode}`);
    return;
  }
  const isMagneticKnown = style.magneticVariation && report.courseDeg !== null && variationDeg !== null;
  const magnetic = isMagneticKnown ? turned((report.courseDeg as number) - (variationDeg as number)) : null;
  const speedKmph = speedMps === null ? '' : fixed(speedMps * 3.6, style.speedDecimals);
  text.send(`VTG,${courseDeg},T,${bearing(magnetic, style.courseDecimals)},M,${speedKn},N,${speedKmph},K${mode}`);
}

/** An angle of (-180, 540) brought into [0, 360). */
function turned(angleDeg: number): number {
  if (angleDeg < 0) return angleDeg + 360;
  return angleDeg >= 360 ? angleDeg - 360 : angleDeg;
}
