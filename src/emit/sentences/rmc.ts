import type { ReportText } from './report-text.js';

/** Navigational status of a receiver that does not provide one (versions from 4.1). */
const NOT_PROVIDED = 'V';

/** RMC: time, status, position, speed in knots, course, date; magnetic variation is left blank. */
export function rmc({ report, style, time, position, speedKn, courseDeg, date }: ReportText): string[] {
  const navStatus = style.version === '2.3' ? '' : `,${NOT_PROVIDED}`;
  return [`RMC,${time},${report.status},${position},${speedKn},${courseDeg},${date},,,${report.mode}${navStatus}`];
}
