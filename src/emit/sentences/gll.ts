import type { ReportText } from './report-text.js';

/** GLL: position, time, status, mode. */
export function gll({ report, time, position }: ReportText): string[] {
  return [`GLL,${position},${time},${report.status},${report.mode}`];
}
