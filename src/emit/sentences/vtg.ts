import type { ReportText } from './report-text.js';

/** VTG: course over ground (true; magnetic is left blank), speed in knots and km/h, mode. */
export function vtg({ report, courseDeg, speedKn, speedKmph }: ReportText): string[] {
  return [`VTG,${courseDeg},T,,M,${speedKn},N,${speedKmph},K,${report.mode}`];
}
