import { fixed } from './fields.js';
import type { ReportText } from './report-text.js';

/** Decimals of the magnetic variation. */
const VARIATION_DECIMALS = 1;

/** RMC: time, status, position, speed in knots, course, date, magnetic variation, mode. */
export function rmc(text: ReportText): void {
  const { report, style, time, position, speedKn, courseDeg, date, mode, navStatus } = text;
  const start = `RMC,${time},${report.status},${position},${speedKn},${courseDeg},${date},`;
  const end = mode + navStatus;
  const { variationDeg } = report;
  if (variationDeg === null || !style.magneticVariation) {
    text.send(`${start},${end}`);
    return;
  }
  const side = variationDeg < 0 ? 'W' : 'E';
  const sizeDeg = Math.abs(variationDeg);
  text.sendFitting(VARIATION_DECIMALS, (decimals) => `${start}${fixed(sizeDeg, decimals)},${side}${end}`);
}
